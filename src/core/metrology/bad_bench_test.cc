// Benches on which something went wrong: each is refused or warned of with
// what to do, and good ones are left in peace.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

#include "core/metrology/calibration.h"
#include "core/metrology/plate_testing.h"

namespace masseter {
namespace {

using ::testing::HasSubstr;
using testing_plate::BenchDay;
using testing_plate::FourCellRig;
using testing_plate::Plate;
using testing_plate::Readings;

Expected<Calibration> OfText(const Rig& rig, const std::string& text) {
  const auto table = ParseReadings(text, "r.csv", rig);
  if (!table) return tl::unexpected(table.error());
  CalibrateOptions options;
  options.gravity_m_s2 = testing_plate::kGravity;
  return Calibrate(rig, *table, options, "r.csv");
}

std::string Codes(const Calibration& c) {
  std::string out;
  for (const CalibrationWarning& w : c.warnings) out += w.code + " ";
  return out;
}

std::string TextOf(const Calibration& c, const std::string& code) {
  for (const CalibrationWarning& w : c.warnings) {
    if (w.code == code) return w.text;
  }
  return "";
}

std::string WithHeader(std::string text, const std::string& header) {
  return text.replace(0, text.find('\n'), header);
}

std::string LineOf(const std::string& text, int line) {
  std::size_t at = 0;
  for (int i = 1; i < line; ++i) at = text.find('\n', at) + 1;
  return text.substr(at, text.find('\n', at) + 1 - at);
}

class BadBench : public ::testing::Test {
 protected:
  Plate plate_;
  Rig rig_ = FourCellRig(plate_);
  std::string good_ = Readings(plate_, BenchDay{});
};

TEST_F(BadBench, GoodOnesAreLeftInPeace) {
  testing_plate::Draw draw(9);
  for (int k = 0; k < 12; ++k) {
    Plate plate;
    plate.shell = draw.Uniform(0.0, 0.1);
    plate.tilt = draw.Uniform(-0.02, 0.02);
    for (double& s : plate.counts_per_n) s = draw.Uniform(120.0, 280.0);
    BenchDay day;
    day.seed = static_cast<std::uint64_t>(50 + k);
    const auto c = OfText(FourCellRig(plate), Readings(plate, day));
    ASSERT_TRUE(c) << c.error().Text();
    EXPECT_EQ(Codes(*c), "") << k;
  }
}

TEST_F(BadBench, OnlyOnePlace) {
  BenchDay day;
  day.places = {{0, 0}};
  const auto c = OfText(rig_, Readings(plate_, day));
  ASSERT_TRUE(c) << c.error().Text();
  EXPECT_THAT(TextOf(*c, "few_positions"), HasSubstr("with 5 or more"));
}

TEST_F(BadBench, LoadsOfTwoSizes) {
  BenchDay day;
  day.masses_kg = {40, 75};
  const auto c = OfText(rig_, Readings(plate_, day));
  ASSERT_TRUE(c) << c.error().Text();
  EXPECT_THAT(TextOf(*c, "few_loads"), HasSubstr("loads of 2 sizes"));
}

TEST_F(BadBench, AWeightTypedTenTimesTooLargeAmongFewLoadsOfItsPlace) {
  BenchDay day;
  day.masses_kg = {60};  // three loads a place
  std::string text = Readings(plate_, day);
  text.replace(text.find(",60.000,"), 8, ",600.000,");
  const auto c = OfText(rig_, text);
  ASSERT_TRUE(c) << c.error().Text();
  EXPECT_THAT(TextOf(*c, "bad_rows"), HasSubstr("line 3:"));
  EXPECT_THAT(TextOf(*c, "bad_rows"), HasSubstr("a tenth of what is written"));
  EXPECT_NEAR(c->force_high_n, testing_plate::WeightForce(60.0), 1e-9);
}

TEST_F(BadBench, ExchangedChannels) {
  const std::string head = "series,direction,mass_kg,x_mm,y_mm,";
  const auto c = OfText(rig_, WithHeader(good_, head + "c2,c1,c3,c4"));
  ASSERT_TRUE(c) << c.error().Text();
  EXPECT_THAT(TextOf(*c, "swapped"), HasSubstr("c1 and c2 exchanged"));
  const auto across = OfText(rig_, WithHeader(good_, head + "c3,c2,c1,c4"));
  ASSERT_TRUE(across);
  EXPECT_THAT(TextOf(*across, "swapped"), HasSubstr("c1 and c3 exchanged"));
  const auto mirrored = OfText(rig_, WithHeader(good_, head + "c2,c1,c4,c3"));
  ASSERT_TRUE(mirrored);
  EXPECT_THAT(TextOf(*mirrored, "swapped"),
              HasSubstr("c1, c2, c3 and c4 standing where the rig file has "
                        "c2, c1, c4 and c3"));
}

TEST_F(BadBench, ExchangedAxes) {
  BenchDay day;
  day.places = {{0, 0}, {-20, 10}, {20, -5}, {15, 15}, {-10, -15}, {25, 5}};
  const auto c = OfText(rig_, WithHeader(Readings(plate_, day),
                                         "series,direction,mass_kg,y_mm,x_mm,"
                                         "c1,c2,c3,c4"));
  ASSERT_TRUE(c) << c.error().Text();
  EXPECT_THAT(TextOf(*c, "swapped"), HasSubstr("x_mm and y_mm are exchanged"));
}

TEST_F(BadBench, ADeadChannel) {
  plate_.counts_per_n[2] = 0.0;
  const auto noisy = OfText(rig_, Readings(plate_, BenchDay{}));
  ASSERT_TRUE(noisy) << noisy.error().Text();
  EXPECT_THAT(TextOf(*noisy, "dead"), HasSubstr("channel c3 hardly moves"));
  EXPECT_EQ(TextOf(*noisy, "swapped"), "");
  BenchDay day;
  day.noise_counts = 0.0;
  day.drift_counts = 0.0;
  const auto still = OfText(rig_, Readings(plate_, day));
  ASSERT_FALSE(still);
  EXPECT_EQ(still.error().where, "r.csv:2");
  EXPECT_THAT(still.error().what,
              HasSubstr("channel c3 reads the same in every row"));
}

TEST_F(BadBench, KilogramsCalledNewtons) {
  const auto c = OfText(rig_, WithHeader(good_,
                                         "series,direction,force_n,x_mm,y_mm,"
                                         "c1,c2,c3,c4"));
  ASSERT_TRUE(c) << c.error().Text();
  EXPECT_THAT(TextOf(*c, "unit"), HasSubstr("name the column mass_kg"));
}

TEST_F(BadBench, NewtonsCalledKilograms) {
  BenchDay day;
  day.masses_kg = {49, 196, 392, 588};
  const auto c = OfText(rig_, Readings(plate_, day));
  ASSERT_TRUE(c) << c.error().Text();
  EXPECT_THAT(TextOf(*c, "unit"), HasSubstr("newtons or grams"));
}

TEST_F(BadBench, ChannelsInNewtonsKnowKilogramsWrittenAsNewtons) {
  for (Channel& channel : rig_.channels) channel.unit = SignalUnit::kNewton;
  plate_.counts_per_n = {1.02, 0.97, 1.0, 0.99};
  plate_.zero = {0.2, 0.1, -0.3, 0.0};
  BenchDay day;
  day.noise_counts = 0.0;
  day.drift_counts = 0.0;
  const auto right = OfText(rig_, Readings(plate_, day));
  ASSERT_TRUE(right) << right.error().Text();
  EXPECT_EQ(TextOf(*right, "unit"), "");
  EXPECT_EQ(TextOf(*right, "duplicates"), "");
  day.masses_kg = {5.1, 20.3, 40.7, 75.2};  // no round numbers
  const auto wrong =
      OfText(rig_, WithHeader(Readings(plate_, day),
                              "series,direction,force_n,x_mm,y_mm,"
                              "c1,c2,c3,c4"));
  ASSERT_TRUE(wrong) << wrong.error().Text();
  EXPECT_THAT(TextOf(*wrong, "unit"),
              HasSubstr("times what the column force_n"));
}

TEST_F(BadBench, ARowThatStandsTwice) {
  const auto clean = OfText(rig_, good_);
  const std::size_t at = good_.find(LineOf(good_, 6));
  const auto c =
      OfText(rig_, good_.substr(0, at) + LineOf(good_, 6) + good_.substr(at));
  ASSERT_TRUE(clean && c);
  EXPECT_THAT(TextOf(*c, "duplicates"), HasSubstr("line 7:"));
  const std::vector<double> v = {20000, 18000, 21000, 19000};
  EXPECT_NEAR(c->estimator.Force(v), clean->estimator.Force(v), 1e-6);
}

TEST_F(BadBench, ASeriesThatWasCopied) {
  BenchDay day;
  day.series = 2;
  const std::string text = Readings(plate_, day);
  const std::size_t second = text.find("\n2,up") + 1;
  std::string copy = text.substr(second);
  for (std::size_t i = 0; i != std::string::npos && i < copy.size();
       i = copy.find('\n', i), i += i == std::string::npos ? 0 : 1) {
    copy[i] = '3';
  }
  const auto c = OfText(rig_, text + copy);
  ASSERT_TRUE(c) << c.error().Text();
  EXPECT_THAT(TextOf(*c, "duplicates"), HasSubstr("Left out"));
}

TEST_F(BadBench, ASeriesEndsUnderLoad) {
  // The last zero of series "2" is missing: its end is a load.
  const auto table = ParseReadings(good_, "r.csv", rig_);
  ASSERT_TRUE(table);
  int last = 0;
  for (const Reading& row : table->rows) {
    if (row.series == "2") last = row.line;
  }
  std::string text = good_;
  const std::string line = LineOf(text, last);
  text.erase(text.find(line), line.size());
  const auto c = OfText(rig_, text);
  ASSERT_TRUE(c) << c.error().Text();
  EXPECT_THAT(TextOf(*c, "zeros"), HasSubstr("series 2 ends under load"));
  EXPECT_THAT(TextOf(*c, "zeros"), HasSubstr("nothing on"));
}

TEST_F(BadBench, ZeroesAreMissing) {
  std::string text = good_;
  for (std::size_t at = 0;
       (at = text.find("\n2,up,0.000", at)) != std::string::npos;) {
    text.erase(at, text.find('\n', at + 1) - at);
  }
  for (std::size_t at = 0;
       (at = text.find("\n2,down,0.000", at)) != std::string::npos;) {
    text.erase(at, text.find('\n', at + 1) - at);
  }
  const auto c = OfText(rig_, text);
  ASSERT_FALSE(c);
  EXPECT_THAT(c.error().where, HasSubstr("r.csv:"));
  EXPECT_THAT(c.error().what, HasSubstr("series \"2\" has no zero reading"));
}

}  // namespace
}  // namespace masseter
