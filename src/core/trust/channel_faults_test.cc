// Faults of single channels planted into bites on a test plate: named, and the
// true force within what is claimed.
#include "core/trust/channel_faults.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "core/bite/bite_testing.h"
#include "core/bite/pipeline.h"
#include "core/trust/advice.h"

namespace masseter {
namespace {

using ::testing::HasSubstr;
using testing_bite::BiteSpec;
using testing_bite::CalibrationOf;
using testing_bite::Device;
using testing_bite::OnPlate;
using testing_bite::ReasonOf;
using testing_bite::Rows;
using testing_bite::RunPipeline;
using testing_bite::Sum;
using testing_plate::Plate;

constexpr double kTruePeakN = 900.0;

class ChannelFaults : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    calibration_ = new Calibration(CalibrationOf(Plate{}));
    without_map_ = new Calibration(*calibration_);
    without_map_->channel_map.channel.clear();  // as with three cells
  }
  static void TearDownTestSuite() {
    delete calibration_;
    delete without_map_;
  }

  // Strike of 900 N at 2.05 s, squeeze of 500 N until 3.5 s.
  Rows PlainBite() {
    return OnPlate(plate_, {10.0, -4.0}, 8.0, BiteSpec{}, Device{});
  }
  Bite Only(const Rows& rows, const Calibration* calibration) {
    const auto bites = RunPipeline(rig_, calibration, rows);
    EXPECT_EQ(bites.size(), 1U);
    return bites.empty() ? Bite{} : bites.front().bite;
  }
  Bite Only(const Rows& rows) { return Only(rows, calibration_); }

  void Freeze(Rows& rows, std::size_t c, double from_s, double to_s) {
    const std::size_t a = rows.RowAt(from_s);
    const std::size_t b = rows.RowAt(to_s);
    for (std::size_t i = a; i < b; ++i) rows.channel[c][i] = rows.channel[c][a];
  }
  // An open input at its resting value.
  void Break(Rows& rows, std::size_t c, double from_s, double to_s) {
    const std::size_t b = rows.RowAt(to_s);
    for (std::size_t i = rows.RowAt(from_s); i < b; ++i) {
      rows.channel[c][i] = plate_.zero[c] + (i % 2 == 0 ? 40.0 : -40.0);
    }
  }
  static void ExpectHolds(const Bite& b) {
    ASSERT_TRUE(b.peak_n && b.peak_u95_n);
    const double low = b.peak_lo_n.value_or(*b.peak_n - *b.peak_u95_n);
    const double high = b.peak_hi_n.value_or(*b.peak_n + *b.peak_u95_n);
    EXPECT_LE(low, kTruePeakN);
    if (!b.at_least) {
      EXPECT_GE(high, kTruePeakN);
    }
  }

  Plate plate_;
  Rig rig_ = testing_plate::FourCellRig(plate_);
  static Calibration* calibration_;
  static Calibration* without_map_;
};
Calibration* ChannelFaults::calibration_ = nullptr;
Calibration* ChannelFaults::without_map_ = nullptr;

TEST_F(ChannelFaults, AHealthyBiteHasNone) {
  const Bite b = Only(PlainBite());
  EXPECT_TRUE(b.reasons.empty());
  EXPECT_EQ(b.verdict, Verdict::kSound);
}

TEST_F(ChannelFaults, AFrozenChannelIsToldFromTheOthersByTheMap) {
  Rows rows = PlainBite();
  Freeze(rows, 2, 1.9, 3.8);
  const Bite b = Only(rows);
  const Reason* stuck = ReasonOf(b, ReasonCode::kStuck);
  ASSERT_NE(stuck, nullptr);
  EXPECT_THAT(stuck->text, HasSubstr("c3 stood at one value for"));
  EXPECT_THAT(stuck->text, HasSubstr("by the calibrated map"));
  EXPECT_THAT(stuck->advice, HasSubstr("reseat the plug of c3"));
  EXPECT_FALSE(b.at_least);
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  EXPECT_NEAR(*b.peak_n, kTruePeakN, 12.0);
  ExpectHolds(b);
}

TEST_F(ChannelFaults, WithoutAMapAFrozenChannelLeavesALowerBound) {
  Rows rows = PlainBite();
  Freeze(rows, 2, 1.9, 3.8);
  const Bite b = Only(rows, without_map_);
  const Reason* stuck = ReasonOf(b, ReasonCode::kStuck);
  ASSERT_NE(stuck, nullptr);
  EXPECT_FALSE(stuck->effect_n.has_value());
  EXPECT_TRUE(b.at_least);
  // Three of four cells carry about three quarters here.
  EXPECT_GT(*b.peak_n, 0.5 * kTruePeakN);
  EXPECT_LT(*b.peak_n, kTruePeakN);
}

TEST_F(ChannelFaults, AChannelThatNeverMovesIsNamed) {
  Rows rows = PlainBite();
  Freeze(rows, 0, 0.0, 100.0);
  const Bite b = Only(rows);
  const Reason* stuck = ReasonOf(b, ReasonCode::kStuck);
  ASSERT_NE(stuck, nullptr);
  EXPECT_THAT(stuck->text, HasSubstr("c1 does not move at all"));
  ExpectHolds(b);
}

TEST_F(ChannelFaults, AFreezeOfATenthOfASecondInTheHoldCostsLittle) {
  Rows rows = PlainBite();
  Freeze(rows, 1, 3.40, 3.47);  // on the way down
  const Bite b = Only(rows);
  ASSERT_NE(ReasonOf(b, ReasonCode::kStuck), nullptr);
  EXPECT_NEAR(*b.peak_n, kTruePeakN, *b.peak_u95_n);
  EXPECT_EQ(ReasonOf(b, ReasonCode::kStuck)->effect_n, 0.0);
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
}

TEST_F(ChannelFaults, AChannelThatMakesAndBreaksIsLoose) {
  Rows rows = PlainBite();
  Break(rows, 1, 2.04, 2.06);
  Break(rows, 1, 2.60, 2.63);
  Break(rows, 1, 2.90, 2.91);
  for (const Calibration* calibration : {calibration_, without_map_}) {
    const Bite b = Only(rows, calibration);
    const Reason* loose = ReasonOf(b, ReasonCode::kLoose);
    ASSERT_NE(loose, nullptr);
    EXPECT_THAT(loose->text, HasSubstr("c2 jumped away and back 3 times"));
    EXPECT_THAT(loose->advice, HasSubstr("reseat the plug of c2"));
    EXPECT_NEAR(loose->start_s, 2.04, 0.003);
    EXPECT_NEAR(loose->end_s, 2.909, 0.003);
    EXPECT_EQ(b.verdict, Verdict::kDoubtful);
    EXPECT_NEAR(*b.peak_n, kTruePeakN, 18.0);
    ExpectHolds(b);
  }
}

TEST_F(ChannelFaults, AJumpToTheEndOfTheScaleIsARailToldFromTheOthers) {
  Rows rows = PlainBite();
  for (const double at : {2.05, 2.7}) {
    for (std::size_t i = rows.RowAt(at); i < rows.RowAt(at + 0.02); ++i) {
      rows.channel[3][i] = 8388607.0;
    }
  }
  const Bite b = Only(rows);
  const Reason* rail = ReasonOf(b, ReasonCode::kRail);
  ASSERT_NE(rail, nullptr);
  EXPECT_TRUE(rail->effect_n.has_value());
  EXPECT_THAT(rail->text, HasSubstr("end of its converter's scale"));
  EXPECT_THAT(rail->advice, HasSubstr("plug"));
  EXPECT_EQ(ReasonOf(b, ReasonCode::kLoose), nullptr);
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  EXPECT_FALSE(b.at_least);
  ExpectHolds(b);
}

TEST_F(ChannelFaults, AChannelThatDropsOutUntilTheReleaseIsLoose) {
  Rows rows = PlainBite();
  Break(rows, 0, 2.3, 8.0);
  const Bite b = Only(rows);
  const Reason* loose = ReasonOf(b, ReasonCode::kLoose);
  ASSERT_NE(loose, nullptr);
  EXPECT_THAT(loose->text, HasSubstr("c1 jumped away and back once"));
  ExpectHolds(b);
}

TEST_F(ChannelFaults, TwoWildWordsInARowAreAGlitch) {
  Rows rows = PlainBite();
  const std::size_t i = rows.RowAt(2.05);
  rows.channel[0][i] = 1048575.0;  // 2^20 - 1
  rows.channel[0][i + 1] = 1048575.0;
  const Bite b = Only(rows);
  const Reason* glitch = ReasonOf(b, ReasonCode::kGlitch);
  ASSERT_NE(glitch, nullptr);
  EXPECT_THAT(glitch->text, HasSubstr("2 impossible values of c1"));
  EXPECT_NEAR(*b.peak_n, kTruePeakN, 15.0);
  ExpectHolds(b);
}

TEST_F(ChannelFaults, SmallAndSlowlySampledSpikesAreGlitches) {
  rig_.sample_rate_hz = 320.0;
  Device device;
  device.rate_hz = 320.0;
  Rows rows = OnPlate(plate_, {10.0, -4.0}, 8.0, BiteSpec{}, device);
  rows.channel[2][rows.RowAt(2.8)] += 80.0 * plate_.counts_per_n[2];
  const Bite b = Only(rows);
  const Reason* glitch = ReasonOf(b, ReasonCode::kGlitch);
  ASSERT_NE(glitch, nullptr);
  EXPECT_THAT(glitch->text, HasSubstr("1 impossible value of c3 was"));
  ExpectHolds(b);
}

TEST_F(ChannelFaults, AZeroThatJumpsWithinTheBiteIsTakenOutAtItsSample) {
  Rows rows = PlainBite();
  rows.StepFrom(2.7, 0, 60.0 * plate_.counts_per_n[0]);
  const auto bites = RunPipeline(rig_, calibration_, rows);
  ASSERT_GE(bites.size(), 1U);
  const Bite& b = bites.front().bite;
  const Reason* zero = ReasonOf(b, ReasonCode::kZero);
  ASSERT_NE(zero, nullptr);
  EXPECT_THAT(zero->text, HasSubstr("the zero of c1 jumped by 6"));
  EXPECT_NEAR(zero->start_s, 2.7, 0.003);
  EXPECT_NEAR(*b.peak_n, kTruePeakN, 10.0);
  EXPECT_NEAR(b.end_s, 3.5, 0.1);  // 60 N that stay are no bite
}

TEST_F(ChannelFaults, AFlatTopThatNoRigFileNamesIsARail) {
  Rows rows = PlainBite();
  for (std::size_t c = 0; c < 4; ++c) {
    for (double& v : rows.channel[c]) {
      v = std::min(v, plate_.zero[c] + 205.0 * plate_.counts_per_n[c]);
    }
  }
  for (auto& channel : rows.channel) {
    for (double& v : channel) v = std::floor(v);
  }
  const Bite b = Only(rows);
  const Reason* rail = ReasonOf(b, ReasonCode::kRail);
  ASSERT_NE(rail, nullptr);
  EXPECT_THAT(rail->text, HasSubstr("flat at its highest value"));
  EXPECT_TRUE(b.at_least);
  EXPECT_LT(*b.peak_n, kTruePeakN);
}

// One cell of four, sampled so slowly that one step leads far into its end.
TEST_F(ChannelFaults, AFlatTopOfOneSlowlySampledChannelIsARail) {
  rig_.sample_rate_hz = 80.0;
  Device device;
  device.rate_hz = 80.0;
  Rows rows = OnPlate(plate_, {10.0, -4.0}, 8.0, BiteSpec{}, device);
  std::vector<double>& words = rows.channel[2];
  const double highest = *std::max_element(words.begin(), words.end());
  const double end = plate_.zero[2] + 0.45 * (highest - plate_.zero[2]);
  for (double& word : words) word = std::floor(std::min(word, end));
  const Bite b = Only(rows);
  const Reason* rail = ReasonOf(b, ReasonCode::kRail);
  ASSERT_NE(rail, nullptr);
  EXPECT_THAT(rail->text, HasSubstr("c3 stood flat at its highest value"));
  EXPECT_EQ(ReasonOf(b, ReasonCode::kStuck), nullptr);
}

// As above, but the crest alone is cut off: for some samples, for two.
TEST_F(ChannelFaults, AFlatTopOfAFewSamplesIsARail) {
  rig_.sample_rate_hz = 80.0;
  Device device;
  device.rate_hz = 80.0;
  const Rows whole = OnPlate(plate_, {10.0, -4.0}, 8.0, BiteSpec{}, device);
  const std::vector<double>& words = whole.channel[2];
  const double highest = *std::max_element(words.begin(), words.end());
  for (const double share : {0.7, 0.8, 0.9}) {
    Rows rows = whole;
    const double end = plate_.zero[2] + share * (highest - plate_.zero[2]);
    int cut = 0;
    for (double& word : rows.channel[2]) {
      cut += word > end ? 1 : 0;
      word = std::floor(std::min(word, end));
    }
    ASSERT_GE(cut, 2) << share;
    EXPECT_LE(cut, 5) << share;
    const Bite b = Only(rows);
    EXPECT_NE(ReasonOf(b, ReasonCode::kRail), nullptr) << share;
    EXPECT_TRUE(b.at_least) << share;
  }
}

// A converter of ten bits that reads a newton a digit, quieter than that: the
// words stand still for long while the force stands.
Rows InDigits(Rows rows, const Plate& plate, double newtons) {
  for (std::size_t c = 0; c < rows.channel.size(); ++c) {
    const double digit = newtons * std::abs(plate.counts_per_n[c]);
    for (double& v : rows.channel[c]) v = digit * std::round(v / digit);
  }
  return rows;
}

TEST_F(ChannelFaults, ACoarseConverterIsNoFault) {
  for (const double rate : {500.0, 1000.0}) {
    rig_.sample_rate_hz = rate;
    Device device;
    device.rate_hz = rate;
    for (const Place grip : {Place{10.0, -4.0}, Place{-30.0, 6.0}}) {
      const Rows rows =
          InDigits(OnPlate(plate_, grip, 8.0, BiteSpec{}, device), plate_, 1.0);
      const Bite b = Only(rows);
      EXPECT_EQ(b.verdict, Verdict::kSound)
          << rate << ": " << (b.reasons.empty() ? "" : b.reasons[0].text);
      ExpectHolds(b);
    }
  }
}

TEST_F(ChannelFaults, AWildChannelMakesNoOtherStuck) {
  Rows rows = InDigits(PlainBite(), plate_, 1.0);
  std::mt19937_64 random(3);
  const std::size_t to = rows.RowAt(2.9);
  for (std::size_t i = rows.RowAt(2.6); i < to; ++i) {
    const auto word = static_cast<double>(random() % 6'000'000U);
    rows.channel[1][i] = plate_.zero[1] + word - 3e6;
  }
  const Bite b = Only(rows);
  EXPECT_NE(ReasonOf(b, ReasonCode::kLoose), nullptr);
  EXPECT_EQ(ReasonOf(b, ReasonCode::kStuck), nullptr);
  EXPECT_EQ(ReasonOf(b, ReasonCode::kRail), nullptr);
  ExpectHolds(b);
}

// The run of equal words reaches back past everything that is looked at.
TEST_F(ChannelFaults, AFreezeUntilTheStrikeOfAnOnlyCellLeavesTheStrike) {
  const Rig rig = testing_plate::OneCellRig(SignalUnit::kNewton, 450.0);
  Rows rows = PlainBite();
  for (std::size_t i = 0; i < rows.size(); ++i) {
    double sum = 0.0;
    for (std::size_t c = 0; c < 4; ++c) {
      sum += (rows.channel[c][i] - plate_.zero[c]) / plate_.counts_per_n[c];
    }
    rows.channel[0][i] = sum;
  }
  rows.channel.resize(1);
  const auto whole = RunPipeline(rig, nullptr, rows);
  ASSERT_EQ(whole.size(), 1U);
  const std::size_t until = rows.RowAt(whole[0].bite.start_s);
  for (std::size_t i = until - std::min<std::size_t>(until, 1500); i < until;
       ++i) {
    rows.channel[0][i] = 0.0;
  }
  const auto frozen = RunPipeline(rig, nullptr, rows);
  ASSERT_EQ(frozen.size(), 1U);
  EXPECT_NEAR(*frozen[0].bite.peak_n, *whole[0].bite.peak_n, 1.0);
  // 1 %: a ramp up to the strike instead of the rest would add 5 %.
  EXPECT_NEAR(*frozen[0].bite.impulse_ns, *whole[0].bite.impulse_ns,
              0.01 * *whole[0].bite.impulse_ns);
}

TEST_F(ChannelFaults, ChannelsThatNoSingleGripGivesAreOdd) {
  Rows rows = PlainBite();
  for (double& v : rows.channel[3]) {  // a cell that lost two fifths
    v = plate_.zero[3] + 0.6 * (v - plate_.zero[3]);
  }
  const Bite b = Only(rows);
  const Reason* odd = ReasonOf(b, ReasonCode::kOdd);
  ASSERT_NE(odd, nullptr);
  EXPECT_THAT(odd->text, HasSubstr("no single grip gives these channels"));
  EXPECT_NE(b.verdict, Verdict::kSound);
  ExpectHolds(b);
}

TEST_F(ChannelFaults, ARegripOntoAnotherPlaceIsNoFault) {
  // The grip jumps by 60 mm within ten milliseconds while 500 N stand.
  Rows a = OnPlate(plate_, {-30.0, -4.0}, 8.0, BiteSpec{}, Device{});
  const Rows b = OnPlate(plate_, {30.0, 6.0}, 8.0, BiteSpec{}, Device{});
  const std::size_t from = a.RowAt(2.8);
  for (std::size_t i = from; i < a.size(); ++i) {
    const double part =
        testing_bite::SmoothStep(static_cast<double>(i - from) / 10.0);
    for (std::size_t c = 0; c < 4; ++c) {
      a.channel[c][i] += part * (b.channel[c][i] - a.channel[c][i]);
    }
  }
  const Bite bite = Only(a);
  EXPECT_EQ(bite.verdict, Verdict::kSound);
  EXPECT_EQ(ReasonOf(bite, ReasonCode::kLoose), nullptr);
}

TEST_F(ChannelFaults, AWeightLeftOnTheSleeveIsNoBiteForEver) {
  // 200 N that stand still from 2 s on: no dog, and no two minutes of bite.
  const auto weight = [](double t) {
    return 200.0 * testing_bite::SmoothStep((t - 2.0) / 0.2);
  };
  const Rows rows = OnPlate(plate_, {0.0, 0.0}, 24.0,
                            Sum({weight, BiteSpec{18.0}}), Device{});
  const auto bites = RunPipeline(rig_, calibration_, rows);
  ASSERT_EQ(bites.size(), 2U);
  EXPECT_LT(bites[0].bite.end_s, 10.0);
  EXPECT_NE(bites[0].bite.verdict, Verdict::kSound);
  EXPECT_NEAR(bites[1].bite.start_s, 18.0, 0.03);
  EXPECT_NEAR(*bites[1].bite.peak_n, kTruePeakN, *bites[1].bite.peak_u95_n);
}

TEST(Advice, EveryReasonHasSome) {
  for (int k = 0; k <= static_cast<int>(ReasonCode::kClock); ++k) {
    EXPECT_GT(AdviceFor(static_cast<ReasonCode>(k)).size(), 20U) << k;
  }
  EXPECT_THAT(AdviceFor(ReasonCode::kStuck, "c3"),
              HasSubstr("reseat the plug of c3"));
}

}  // namespace
}  // namespace masseter
