// What a calibration's record tells beside the estimator: creep, temperature,
// curvature, places.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "core/metrology/calibration.h"
#include "core/metrology/plate_testing.h"

namespace masseter {
namespace {

using ::testing::HasSubstr;
using testing_plate::Draw;
using testing_plate::OneCellRig;
using testing_plate::Text;

Calibration OfText(const Rig& rig, const std::string& text) {
  const auto table = ParseReadings(text, "r.csv", rig);
  EXPECT_TRUE(table) << table.error().Text();
  CalibrateOptions options;
  options.gravity_m_s2 = testing_plate::kGravity;
  auto c = Calibrate(rig, *table, options, "r.csv");
  EXPECT_TRUE(c) << c.error().Text();
  return std::move(*c);
}

const CalibrationWarning* Warning(const Calibration& c,
                                  const std::string& code) {
  for (const CalibrationWarning& w : c.warnings) {
    if (w.code == code) return &w;
  }
  return nullptr;
}

// Rising loads at 100 counts a newton and one of 500 N that stands `minutes`.
std::string WithStandingLoad(int minutes, double creep) {
  std::string text = "force_n,t_s,c1\n0,0,0\n";
  double t = 0.0;
  for (const double f : {100.0, 200.0, 300.0, 400.0}) {
    text += Text(f) + "," + Text(t += 20.0) + "," + Text(100.0 * f) + "\n";
  }
  t += 20.0;
  for (int k = 0; k <= 2 * minutes; ++k) {
    const double since = 30.0 * k;
    const double v = 50000.0 * (1.0 + creep * (1.0 - std::exp(-since / 600.0)));
    text += "500," + Text(t + since) + "," + Text(v) + "\n";
  }
  return text + "0," + Text(t + 4000.0) + ",0\n";
}

TEST(Creep, IsReadFromALoadThatStandsForHalfAnHour) {
  const Rig rig = OneCellRig(SignalUnit::kCount);
  const Calibration c = OfText(rig, WithStandingLoad(32, 0.008));
  ASSERT_TRUE(c.creep.has_value());
  EXPECT_EQ(c.creep->rows, 65);
  EXPECT_EQ(c.creep->line, 7);
  EXPECT_NEAR(*c.creep->over_30_min, 0.008 * (1.0 - std::exp(-3.0)), 1e-5);
  EXPECT_NEAR(*c.creep->from_30_to_300_s,
              0.008 * (std::exp(-0.05) - std::exp(-0.5)), 1e-5);
  EXPECT_EQ(c.relative.creep, c.creep->over_30_min);
  ASSERT_NE(Warning(c, "creep"), nullptr);
  // Only its first reading is a load: the others would outweigh the rest.
  EXPECT_EQ(c.position_map.at(0).rows, 5);
  EXPECT_FALSE(c.relative.repeatability.has_value());
}

TEST(Creep, OfFiveMinutesIsIso376sAndNotTheHalfHours) {
  const Rig rig = OneCellRig(SignalUnit::kCount);
  const Calibration c = OfText(rig, WithStandingLoad(6, 0.002));
  ASSERT_TRUE(c.creep.has_value());
  EXPECT_FALSE(c.creep->over_30_min.has_value());
  EXPECT_EQ(c.relative.creep, c.creep->from_30_to_300_s);
  EXPECT_EQ(c.iso376->c, c.creep->from_30_to_300_s);
  EXPECT_EQ(Warning(c, "creep"), nullptr);
  const Calibration none = OfText(rig, WithStandingLoad(1, 0.002));
  EXPECT_FALSE(none.creep.has_value());
}

std::string AtTemperatures(double span_per_k, double zero_per_k) {
  Draw draw(3);
  std::string text = "series,force_n,temp_c,c1\n";
  int s = 0;
  for (const double t : {20.0, 11.0, 27.0, 14.0, 30.0, 17.0, 24.0, 9.0}) {
    const std::string series = std::to_string(++s);
    const auto row = [&](double f) {
      const double v = 100.0 * f * (1.0 + span_per_k * (t - 20.0)) + 3000.0 +
                       zero_per_k * (t - 20.0) + draw.Normal(4.0);
      text += series + "," + Text(f) + "," + Text(t) + "," + Text(v) + "\n";
    };
    row(0.0);
    for (const double f : {100.0, 200.0, 300.0, 400.0, 500.0}) row(f);
    row(0.0);
  }
  return text;
}

TEST(Temperature, IsFoundInSpanAndZero) {
  const Calibration c =
      OfText(OneCellRig(SignalUnit::kCount), AtTemperatures(5e-4, 12.0));
  ASSERT_TRUE(c.temperature.has_value());
  EXPECT_EQ(c.temperature->low_c, 9.0);
  EXPECT_EQ(c.temperature->high_c, 30.0);
  const PerKelvin& span = *c.temperature->span;
  EXPECT_TRUE(span.matters);
  EXPECT_NEAR(span.value, 5e-4, 4.0 * span.se);
  EXPECT_LT(span.se, 3e-5);
  const ChannelFacts& channel = c.channel_facts.at(0);
  EXPECT_NEAR(*channel.zero_per_k, 12.0, 4.0 * *channel.zero_per_k_se);
  EXPECT_NEAR(c.temperature->zero_n->value, 0.12, 0.01);
  // 15 K, rectangular.
  EXPECT_NEAR(*c.relative.temperature, span.value * 15.0 / std::sqrt(3.0),
              1e-9);
  EXPECT_GT(c.relative_standard_u, *c.relative.temperature);
  ASSERT_NE(Warning(c, "temperature"), nullptr);
}

TEST(Temperature, ThatDoesNothingIsNotWarnedOfNorPaidFor) {
  const Calibration c =
      OfText(OneCellRig(SignalUnit::kCount), AtTemperatures(0.0, 0.0));
  ASSERT_TRUE(c.temperature.has_value());
  EXPECT_FALSE(c.temperature->span->matters);
  EXPECT_FALSE(c.temperature->zero_n->matters);
  EXPECT_FALSE(c.relative.temperature.has_value());
  EXPECT_EQ(Warning(c, "temperature"), nullptr);
}

TEST(Channels, TellTheirCurvature) {
  const auto text = [](double bend) {
    Draw draw(8);
    std::string out = "series,force_n,x_mm,y_mm,c1\n";
    for (int s = 1; s <= 3; ++s) {
      const std::string name = std::to_string(s);
      out += name + ",0,,,0\n";
      for (const double x : {-30.0, 0.0, 30.0}) {
        for (const double f : {100.0, 200.0, 300.0, 400.0, 500.0}) {
          const double v = (100.0 + 0.05 * x) * f * (1.0 + bend * f / 500.0);
          out += name + "," + Text(f) + "," + Text(x) + ",0," +
                 Text(v + draw.Normal(5.0)) + "\n";
        }
      }
      out += name + ",0,,,0\n";
    }
    return out;
  };
  const Rig rig = OneCellRig(SignalUnit::kCount);
  const ChannelFacts bent = OfText(rig, text(0.03)).channel_facts.at(0);
  EXPECT_TRUE(bent.bent);
  EXPECT_NEAR(*bent.curvature, 0.03, 0.0015);
  const Calibration c = OfText(rig, text(0.0));
  const ChannelFacts straight = c.channel_facts.at(0);
  EXPECT_NEAR(*straight.curvature, 0.0, 4.0 * *straight.curvature_se);
  EXPECT_FALSE(straight.bent);
  EXPECT_EQ(c.beyond_range, 0.001);
}

TEST(Places, TellWhatIsLeftAndWhatASingleFactorWouldSay) {
  const testing_plate::Plate plate;
  const Rig rig = testing_plate::FourCellRig(plate);
  const Calibration c = OfText(rig, testing_plate::Readings(plate, {}));
  ASSERT_EQ(c.position_map.size(), 9U);
  double square = 0.0;
  const auto sum = [&](Place at) {
    double total = 0.0;
    const std::vector<double> v = plate.Signals(1.0, at);
    for (std::size_t i = 0; i < 4; ++i) total += v[i] - plate.zero[i];
    return total;
  };
  for (const PositionFacts& p : c.position_map) {
    EXPECT_EQ(p.rows, 27);  // nine loads a series
    square += *p.left_out_rms * *p.left_out_rms;
    EXPECT_LE(std::abs(*p.left_out_error), *p.left_out_rms + 1e-12);
    EXPECT_NEAR(*p.single_factor_error, sum(p.place) / sum({0, 0}) - 1.0, 1e-3);
  }
  EXPECT_NEAR(std::sqrt(square / 9.0), *c.left_out_rms, 1e-12);
  ASSERT_TRUE(c.single_factor.has_value());
  // The shell takes 6 % along and across: one factor is off by that.
  EXPECT_LT(c.single_factor->worst, -0.03);
  EXPECT_GT(c.single_factor->rms, 5.0 * *c.left_out_rms);
  ASSERT_EQ(c.channel_facts.size(), 4U);
  for (const ChannelFacts& channel : c.channel_facts) {
    ASSERT_TRUE(channel.curve.has_value());
    EXPECT_EQ(channel.curve->b[0], 0.0);
  }
}

TEST(Range, GrowsByWhatTheCurvatureIsNotKnownTo) {
  // Two loads only: the curvature is not known, the rule's least holds.
  const Rig rig = OneCellRig(SignalUnit::kCount);
  const Calibration c =
      OfText(rig, "force_n,c1\n0,0\n100,10000\n200,20003\n100,10001\n0,0\n");
  EXPECT_EQ(c.beyond_range, 0.001);
  ASSERT_NE(Warning(c, "range"), nullptr);
  EXPECT_THAT(Warning(c, "range")->text, HasSubstr("Beyond 200 N"));
  EXPECT_NE(Warning(c, "few_loads"), nullptr);
}

}  // namespace
}  // namespace masseter
