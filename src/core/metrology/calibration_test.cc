#include "core/metrology/calibration.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>

#include "core/metrology/plate_testing.h"

namespace masseter {
namespace {

using ::testing::HasSubstr;
using testing_plate::BenchDay;
using testing_plate::FourCellRig;
using testing_plate::kGravity;
using testing_plate::OneCellRig;
using testing_plate::Plate;
using testing_plate::Readings;

CalibrateOptions AtKnownGravity() {
  CalibrateOptions options;
  options.gravity_m_s2 = kGravity;
  return options;
}

Expected<Calibration> CalibrateText(
    const Rig& rig, const std::string& text,
    const CalibrateOptions& options = AtKnownGravity()) {
  const auto table = ParseReadings(text, "r.csv", rig);
  if (!table) return tl::unexpected(table.error());
  return Calibrate(rig, *table, options, "r.csv");
}

const CalibrationWarning* Warning(const Calibration& c,
                                  const std::string& code) {
  for (const CalibrationWarning& w : c.warnings) {
    if (w.code == code) return &w;
  }
  return nullptr;
}

std::vector<double> Zeroed(const Plate& plate, double force_n, Place at) {
  std::vector<double> v = plate.Signals(force_n, at);
  for (std::size_t i = 0; i < v.size(); ++i) v[i] -= plate.zero[i];
  return v;
}

// Worst and rms relative error at places where no load was ever put, and the
// share of them that lies within the stated interval.
struct Unseen {
  double worst = 0.0;
  double rms = 0.0;
  double within = 0.0;
};
Unseen AtUnseenPlaces(const Plate& plate, const Calibration& c) {
  Unseen out;
  int n = 0;
  for (double x = -40.0; x <= 40.0; x += 10.0) {
    for (const double y : {-12.0, -6.0, 4.0, 9.0, 13.0}) {
      for (const double force : {150.0, 400.0, 700.0}) {
        const double e =
            c.estimator.Force(Zeroed(plate, force, {x, y})) / force - 1.0;
        out.worst = std::max(out.worst, std::abs(e));
        out.rms += e * e;
        out.within += std::abs(e) <= c.expanded_relative_u95 ? 1.0 : 0.0;
        ++n;
      }
    }
  }
  out.rms = std::sqrt(out.rms / n);
  out.within /= n;
  return out;
}

TEST(Calibration, APlateWithAShellIsReadAtPlacesNeverLoaded) {
  const Plate plate;
  const Rig rig = FourCellRig(plate);
  const auto c = CalibrateText(rig, Readings(plate, BenchDay{}));
  ASSERT_TRUE(c) << c.error().Text();
  // The shell takes up to 8 % here: a form that does not know the place is
  // off by that.
  EXPECT_NE(c->estimator.form, EstimatorForm::kSum);
  EXPECT_NE(c->estimator.form, EstimatorForm::kGains);
  ASSERT_TRUE(c->left_out_rms.has_value());
  EXPECT_LT(*c->left_out_rms, 0.01);
  EXPECT_GE(*c->left_out_max, *c->left_out_rms);
  EXPECT_NEAR(c->expanded_relative_u95, 1.96 * c->relative_standard_u, 1e-12);
  const Unseen unseen = AtUnseenPlaces(plate, *c);
  std::printf("  unseen places: rms %.2e worst %.2e, stated U95 %.2e\n",
              unseen.rms, unseen.worst, c->expanded_relative_u95);
  EXPECT_GE(unseen.within, 0.95);
  EXPECT_LT(unseen.worst, 2.0 * c->expanded_relative_u95);
  // And the interval is worth having: a hundredth, not a tenth.
  EXPECT_LT(c->expanded_relative_u95, 0.02);
  EXPECT_TRUE(c->place_seen);
  EXPECT_TRUE(InArea(c->area, {0, 0}, 0.0));
  EXPECT_FALSE(InArea(c->area, {58, 0}, 1.0));
}

TEST(Calibration, HoldsAtUnseenPlacesOfManySleeves) {
  testing_plate::Draw draw(2);
  double within = 0.0;
  for (int k = 0; k < 8; ++k) {
    Plate plate;
    plate.shell = draw.Uniform(0.0, 0.12);
    plate.tilt = draw.Uniform(-0.02, 0.02);
    for (double& s : plate.counts_per_n) s = draw.Uniform(150.0, 250.0);
    BenchDay day;
    day.seed = static_cast<std::uint64_t>(100 + k);
    const auto c = CalibrateText(FourCellRig(plate), Readings(plate, day));
    ASSERT_TRUE(c) << c.error().Text();
    const Unseen unseen = AtUnseenPlaces(plate, *c);
    EXPECT_LT(unseen.worst, 3.0 * c->expanded_relative_u95) << k;
    within += unseen.within;
  }
  EXPECT_GE(within / 8.0, 0.95);
}

TEST(Calibration, ACellWiredTheOtherWayCountsDownAndIsUnderstood) {
  Plate plate;
  plate.counts_per_n[2] = -plate.counts_per_n[2];
  const auto c = CalibrateText(FourCellRig(plate), Readings(plate, BenchDay{}));
  ASSERT_TRUE(c) << c.error().Text();
  EXPECT_LT(c->estimator.gain[2], 0.0);
  EXPECT_GT(c->estimator.gain[0], 0.0);
  EXPECT_LT(*c->left_out_rms, 0.01);
  const Unseen unseen = AtUnseenPlaces(plate, *c);
  EXPECT_GE(unseen.within, 0.95);
  const auto centre = c->estimator.Centre(Zeroed(plate, 500.0, {30.0, 8.0}));
  ASSERT_TRUE(centre.has_value());
  EXPECT_NEAR(centre->x_mm, 30.0, 3.0);
  EXPECT_NEAR(centre->y_mm, 8.0, 3.0);
}

// Replaces field `column` of line `line` (1-based).
std::string WithField(const std::string& text, int line, int column,
                      const std::string& value) {
  std::size_t a = 0;
  for (int i = 1; i < line; ++i) a = text.find('\n', a) + 1;
  for (int i = 0; i < column; ++i) a = text.find(',', a) + 1;
  const std::size_t b = text.find_first_of(",\n", a);
  return text.substr(0, a) + value + text.substr(b);
}

TEST(Calibration, AWeightTypedTenTimesTooLargeIsNamedAndDoesNoHarm) {
  const Plate plate;
  const Rig rig = FourCellRig(plate);
  const std::string good = Readings(plate, BenchDay{});
  // Line 2 is the zero, 3 to 7 rise at the first place: line 5 is 40 kg.
  const std::string bad = WithField(good, 5, 2, "400");
  const auto clean = CalibrateText(rig, good);
  const auto c = CalibrateText(rig, bad);
  ASSERT_TRUE(clean && c);
  EXPECT_EQ(Warning(*clean, "bad_rows"), nullptr);
  const CalibrationWarning* w = Warning(*c, "bad_rows");
  ASSERT_NE(w, nullptr);
  EXPECT_THAT(w->text, HasSubstr("line 5:"));
  EXPECT_NEAR(c->force_high_n, clean->force_high_n, 1e-9);
  const std::vector<double> v = Zeroed(plate, 500.0, {20.0, 5.0});
  EXPECT_NEAR(c->estimator.Force(v), clean->estimator.Force(v), 0.5);
  EXPECT_NEAR(c->expanded_relative_u95, clean->expanded_relative_u95,
              0.2 * clean->expanded_relative_u95);
}

std::string OneChannelReadings(double x1_gain, double x2_gain) {
  std::string text = "series,mass_kg,x_mm,y_mm,c1\n";
  for (int s = 1; s <= 3; ++s) {
    const std::string name = std::to_string(s);
    text += name + ",0,,,500\n";
    for (const double mass : {10.0, 30.0, 50.0, 70.0, 80.0}) {
      const double force = testing_plate::WeightForce(mass);
      const auto row = [&](const char* place, double gain) {
        text += name + "," + testing_plate::Text(mass) + "," + place + "," +
                testing_plate::Text(500.0 + gain * force) + "\n";
      };
      row("-40,0", x1_gain);
      row("0,0", 0.5 * (x1_gain + x2_gain));
      row("40,0", x2_gain);
    }
    text += name + ",0,,,500\n";
  }
  return text;
}

TEST(Calibration, OneCellThatDependsOnThePlaceIsWarnedOfAndPaidFor) {
  const Rig rig = OneCellRig(SignalUnit::kCount);
  const auto bound = CalibrateText(rig, OneChannelReadings(100.0, 110.0));
  ASSERT_TRUE(bound) << bound.error().Text();
  const CalibrationWarning* w = Warning(*bound, "off_centre");
  ASSERT_NE(w, nullptr);
  EXPECT_THAT(w->text, HasSubstr("one cell cannot see where it is gripped"));
  EXPECT_THAT(w->text, HasSubstr("9.5 %"));  // 110/105 - 100/105
  EXPECT_FALSE(bound->place_seen);
  // Half the range, 4.8 %, is what the ends are off by.
  EXPECT_GT(bound->expanded_relative_u95, 0.048);
  const auto even = CalibrateText(rig, OneChannelReadings(105.0, 105.0));
  ASSERT_TRUE(even);
  EXPECT_EQ(Warning(*even, "off_centre"), nullptr);
  EXPECT_LT(even->expanded_relative_u95, 0.01);
}

TEST(Calibration, OnePlaceAndOneSeriesAndSmallLoadsAreWarnedOf) {
  const Plate plate;
  BenchDay day;
  day.places = {{0, 0}};
  day.series = 1;
  day.masses_kg = {2, 5, 10};
  const auto c = CalibrateText(FourCellRig(plate), Readings(plate, day));
  ASSERT_TRUE(c) << c.error().Text();
  ASSERT_NE(Warning(*c, "few_positions"), nullptr);
  EXPECT_THAT(Warning(*c, "few_positions")->text,
              HasSubstr("loads at 1 place;"));
  EXPECT_NE(Warning(*c, "few_series"), nullptr);
  EXPECT_NE(Warning(*c, "range"), nullptr);
  EXPECT_FALSE(c->left_out_rms.has_value());
  // 5 % (rectangular) for a place that nobody looked at.
  EXPECT_GT(c->relative_standard_u, 0.05 / std::sqrt(3.0));
  const auto full = CalibrateText(FourCellRig(plate), Readings(plate, {}));
  ASSERT_TRUE(full);
  for (const char* code : {"few_positions", "few_series", "range", "gravity",
                           "drift", "reversibility", "bad_rows"}) {
    EXPECT_EQ(Warning(*full, code), nullptr) << code;
  }
}

TEST(Calibration, DriftAndReversibilityAreSeen) {
  const Plate plate;
  BenchDay day;
  day.hysteresis = 0.02;
  day.drift_counts = 3000.0;  // about 60 N of the sum, of 735 N
  const auto c = CalibrateText(FourCellRig(plate), Readings(plate, day));
  ASSERT_TRUE(c) << c.error().Text();
  ASSERT_NE(Warning(*c, "reversibility"), nullptr);
  EXPECT_NEAR(*c->relative.reversibility, 0.02, 0.003);
  ASSERT_NE(Warning(*c, "drift"), nullptr);
  EXPECT_NEAR(*c->relative.zero_return, 4 * 3000.0 / 200.0 / 735.6, 0.01);
  // The zeros between places take the drift itself out of the answer.
  EXPECT_LT(*c->left_out_rms, 0.03);
}

TEST(Calibration, ASeriesWithoutZeroIsRefusedWithItsLine) {
  const Rig rig = OneCellRig(SignalUnit::kCount);
  const std::string text =
      "series,mass_kg,c1\na,0,5\na,10,1005\na,20,2005\nb,10,1004\nb,20,2004\n";
  const auto c = CalibrateText(rig, text);
  ASSERT_FALSE(c);
  EXPECT_EQ(c.error().where, "r.csv:5");
  EXPECT_THAT(c.error().what, HasSubstr("series \"b\" has no zero reading"));
  EXPECT_THAT(c.error().what, HasSubstr("--no-zero"));
  CalibrateOptions as_given = AtKnownGravity();
  as_given.zero = false;
  const auto fit = CalibrateText(
      rig, "series,mass_kg,c1\nb,10,1100\nb,20,2100\nb,30,3100\n", as_given);
  ASSERT_TRUE(fit) << fit.error().Text();
  ASSERT_TRUE(fit->curve.has_value());
  EXPECT_NEAR(fit->curve->b[0], 100.0, 1e-6);
  EXPECT_NEAR(fit->estimator.Force(std::vector<double>{2100.0}),
              testing_plate::WeightForce(20.0), 1e-6);
}

TEST(Calibration, RefusesReadingsWithoutLoadsAndDeadChannels) {
  const Rig rig = OneCellRig(SignalUnit::kCount);
  const auto none = CalibrateText(rig, "mass_kg,c1\n0,5\n0,6\n");
  ASSERT_FALSE(none);
  EXPECT_THAT(none.error().what, HasSubstr("every reading has load 0"));
  const auto dead = CalibrateText(rig, "mass_kg,c1\n0,5\n10,5\n20,5\n30,5\n");
  ASSERT_FALSE(dead);
  EXPECT_THAT(dead.error().what, HasSubstr("no channel moves under load"));
  CalibrateOptions cubic = AtKnownGravity();
  cubic.curve = CurveOrder::kCubic;
  const auto few =
      CalibrateText(rig, "mass_kg,c1\n0,5\n10,105\n20,205\n10,106\n", cubic);
  ASSERT_FALSE(few);
  EXPECT_THAT(few.error().what, HasSubstr("curve of order 3 needs 3"));
  const auto two = CalibrateText(rig, "mass_kg,c1\n0,5\n10,105\n20,205\n");
  ASSERT_FALSE(two);
  EXPECT_THAT(two.error().what, HasSubstr("only 2 loads above zero"));
}

TEST(Calibration, TheReferenceForceKnowsGravityAndBuoyancy) {
  const Rig rig = OneCellRig(SignalUnit::kCount);
  const std::string text = "mass_kg,c1\n0,0\n5,500\n10,1000\n20,2000\n";
  CalibrateOptions linear = AtKnownGravity();
  linear.curve = CurveOrder::kLinear;
  const auto c = CalibrateText(rig, text, linear);
  ASSERT_TRUE(c) << c.error().Text();
  // By hand: 20 kg x 9.81225 m/s2 x (1 - 1.2/8000) = 196.245 x 0.99985.
  EXPECT_NEAR(c->force_high_n, 196.21556325, 1e-9);
  EXPECT_EQ(c->gravity_m_s2, 9.81225);
  EXPECT_EQ(Warning(*c, "gravity"), nullptr);

  CalibrateOptions elsewhere;
  elsewhere.air_density_kg_m3 = 0.0;
  const auto standard = CalibrateText(rig, text, elsewhere);
  ASSERT_TRUE(standard);
  EXPECT_NEAR(standard->force_high_n, 196.133, 1e-9);  // 20 x 9.80665
  EXPECT_NE(Warning(*standard, "gravity"), nullptr);
  // A reference transducer states newtons: no gravity in it.
  const auto force = CalibrateText(
      rig, "force_n,c1\n0,0\n50,500\n100,1000\n200,2000\n", elsewhere);
  ASSERT_TRUE(force);
  EXPECT_EQ(force->force_high_n, 200.0);
  EXPECT_EQ(Warning(*force, "gravity"), nullptr);
}

TEST(Calibration, ZerosAreInterpolatedBetweenTheirRows) {
  // The zero walks by 10 counts a row; the line is 10 counts a newton.
  const auto c =
      CalibrateText(OneCellRig(SignalUnit::kCount),
                    "force_n,c1\n0,100\n100,1110\n200,2120\n300,3130\n0,140\n");
  ASSERT_TRUE(c) << c.error().Text();
  EXPECT_NEAR(c->curve->b[1], 10.0, 1e-9);
  EXPECT_NEAR(c->curve->residual_sd, 0.0, 1e-9);
  EXPECT_NEAR(*c->relative.zero_return, 40.0 / 10.0 / 300.0, 1e-9);
}

TEST(Calibration, AutoTakesACurveOnlyWhereOneIsThere) {
  const Rig rig = OneCellRig(SignalUnit::kCount);
  const auto text = [](double bend) {
    testing_plate::Draw draw(5);
    std::string out = "force_n,c1\n0,0\n";
    for (int k = 1; k <= 30; ++k) {
      const double f = 25.0 * k;
      const double v = 100.0 * f + bend * f * f + draw.Normal(20.0);
      out += testing_plate::Text(f) + "," + testing_plate::Text(v) + "\n";
    }
    return out;
  };
  const auto straight = CalibrateText(rig, text(0.0));
  const auto bent = CalibrateText(rig, text(0.005));  // 3.8 % at 750 N
  ASSERT_TRUE(straight && bent);
  EXPECT_EQ(straight->curve->b.size(), 2U);
  ASSERT_EQ(bent->curve->b.size(), 3U);
  EXPECT_NEAR(bent->curve->b[2], 0.005, 5.0 * bent->curve->se[2]);
  EXPECT_EQ(bent->curve->b[0], 0.0);
  EXPECT_EQ(bent->curve->se[0], 0.0);
  // The inverse undoes the curve within the range and goes on straight.
  const auto forward = [&](double f) {
    return f * (bent->curve->b[1] + f * bent->curve->b[2]);
  };
  for (const double f : {10.0, 200.0, 750.0}) {
    EXPECT_NEAR(bent->estimator.Force(std::vector<double>{forward(f)}), f,
                1e-9 * f);
  }
  const double slope = bent->curve->b[1] + 2.0 * 750.0 * bent->curve->b[2];
  EXPECT_NEAR(bent->estimator.Force(
                  std::vector<double>{forward(750.0) + 100.0 * slope}),
              850.0, 1e-6);
}

TEST(Calibration, RepeatabilityAndReproducibilityAreToldApart) {
  // Two placings (series) at one place and load: 100 and 102 counts a newton,
  // each read twice with +-0.1 %.
  std::string text = "series,force_n,c1\n";
  for (const auto& [name, gain] : {std::pair{"a", 100.0}, {"b", 102.0}}) {
    text += std::string(name) + ",0,0\n";
    for (const double part : {0.999, 1.001}) {
      text += std::string(name) + ",500," +
              testing_plate::Text(500.0 * gain * part) + "\n";
    }
  }
  const auto c = CalibrateText(OneCellRig(SignalUnit::kCount), text);
  ASSERT_TRUE(c) << c.error().Text();
  // sd of (-1, 1) is root 2; relative to the mean of 101.
  EXPECT_NEAR(*c->relative.repeatability, 0.001 * std::sqrt(2.0), 2e-5);
  EXPECT_NEAR(*c->relative.reproducibility, std::sqrt(2.0) / 101.0, 1e-5);
  EXPECT_FALSE(c->relative.reversibility.has_value());
  EXPECT_FALSE(c->relative.off_centre.has_value());
}

}  // namespace
}  // namespace masseter
