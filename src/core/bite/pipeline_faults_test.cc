// Bites whose samples went wrong: what is said, what it costs, and whether the
// true force stays inside what is claimed.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "core/bite/bite_testing.h"
#include "core/bite/pipeline.h"

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
using testing_plate::FourCellRig;
using testing_plate::Plate;

class FaultySleeve : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    calibration_ = new Calibration(CalibrationOf(Plate{}));
  }
  static void TearDownTestSuite() { delete calibration_; }

  std::vector<MeasuredBite> Run(const Rows& rows) {
    return RunPipeline(rig_, calibration_, rows);
  }
  Rows Capture(const testing_bite::ForceOfTime& force, double duration_s = 8.0,
               Place at = {10.0, -4.0}) {
    return OnPlate(plate_, at, duration_s, force, Device{});
  }
  // Strike 900 N at 2.05 s, squeeze 500 N until 3.5 s.
  Rows PlainBite() { return Capture(BiteSpec{}); }

  Plate plate_;
  Rig rig_ = FourCellRig(plate_);
  static const Calibration* calibration_;
};
const Calibration* FaultySleeve::calibration_ = nullptr;

TEST_F(FaultySleeve, AGapAcrossThePeakWidensTheIntervalUpwards) {
  Rows rows = PlainBite();
  rows.Lose(2.035, 2.065);  // 30 ms around the crest
  const auto bites = Run(rows);
  ASSERT_EQ(bites.size(), 1U);
  const Bite& b = bites[0].bite;
  const Reason* gap = ReasonOf(b, ReasonCode::kGap);
  ASSERT_NE(gap, nullptr);
  EXPECT_THAT(gap->text, HasSubstr("30 ms without samples across the peak"));
  ASSERT_TRUE(gap->effect_n.has_value());
  EXPECT_GT(*gap->effect_n, 50.0);
  EXPECT_NEAR(gap->start_s, 2.034, 0.002);
  EXPECT_NEAR(gap->end_s, 2.065, 0.002);
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  if (!b.at_least) {
    ASSERT_TRUE(b.peak_lo_n && b.peak_hi_n);
    EXPECT_GE(*b.peak_hi_n - *b.peak_n,
              *gap->effect_n + (*b.peak_n - *b.peak_lo_n) - 1e-6);
    EXPECT_GE(*b.peak_hi_n, 900.0);
    EXPECT_LE(*b.peak_lo_n, 900.0);
  }
  EXPECT_LT(*b.peak_n, 900.0);
}

TEST_F(FaultySleeve, AGapInTheQuietHoldIsToldButDoesNotCount) {
  Rows rows = PlainBite();
  rows.Lose(2.80, 2.81);
  const auto bites = Run(rows);
  ASSERT_EQ(bites.size(), 1U);
  const Bite& b = bites[0].bite;
  const Reason* gap = ReasonOf(b, ReasonCode::kGap);
  ASSERT_NE(gap, nullptr);
  EXPECT_THAT(gap->text, Not(HasSubstr("across the peak")));
  EXPECT_EQ(gap->effect_n, 0.0);
  EXPECT_EQ(b.verdict, Verdict::kSound);
  EXPECT_FALSE(b.at_least);
  EXPECT_FALSE(b.peak_hi_n.has_value());
}

TEST_F(FaultySleeve, ARestartWhileTheForceStandsLeavesALowerBound) {
  Rows rows = PlainBite();
  rows.Lose(2.5, 2.9);
  rows.RestartAt(2.9);
  const auto bites = Run(rows);
  ASSERT_EQ(bites.size(), 1U);
  const Bite& b = bites[0].bite;
  const Reason* restart = ReasonOf(b, ReasonCode::kRestart);
  ASSERT_NE(restart, nullptr);
  EXPECT_FALSE(restart->effect_n.has_value());
  EXPECT_TRUE(b.at_least);
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  // The strike was seen: it is the lower bound.
  EXPECT_NEAR(*b.peak_n, 900.0, *b.peak_u95_n);
}

TEST_F(FaultySleeve, ARestartInTheQuietCostsNothing) {
  Rows rows = PlainBite();
  rows.RestartAt(6.0);
  const auto bites = Run(rows);
  ASSERT_EQ(bites.size(), 1U);
  EXPECT_EQ(bites[0].bite.verdict, Verdict::kSound);
  EXPECT_TRUE(bites[0].bite.reasons.empty());
}

TEST_F(FaultySleeve, ACaptureThatEndsMidBiteLeavesALowerBound) {
  Rows rows = PlainBite();
  rows.EndAt(2.6);
  const auto bites = Run(rows);
  ASSERT_EQ(bites.size(), 1U);
  const Bite& b = bites[0].bite;
  EXPECT_TRUE(b.at_least);
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  const Reason* gap = ReasonOf(b, ReasonCode::kGap);
  ASSERT_NE(gap, nullptr);
  EXPECT_THAT(gap->text,
              HasSubstr("the recording ends while the force stands"));
  EXPECT_FALSE(gap->effect_n.has_value());
  EXPECT_NEAR(b.end_s, 2.599, 0.002);
}

TEST_F(FaultySleeve, ACaptureThatEndsOnTheWayUpLeavesALowerBound) {
  Rows rows = PlainBite();
  rows.EndAt(2.03);
  const auto bites = Run(rows);
  // 30 ms are too short to be a bite or are a lower bound, never a figure.
  for (const MeasuredBite& m : bites) {
    EXPECT_TRUE(m.bite.at_least);
    EXPECT_LT(*m.bite.peak_n, 900.0);
  }
}

TEST_F(FaultySleeve, AZeroThatJumpsIsNamedWithItsSize) {
  // One cell jumps by 60 N worth of counts while the dog squeezes.
  Rows rows = PlainBite();
  rows.StepFrom(2.7, 0, 60.0 * plate_.counts_per_n[0]);
  const auto bites = Run(rows);
  ASSERT_GE(bites.size(), 1U);
  const Bite& b = bites[0].bite;
  const Reason* zero = ReasonOf(b, ReasonCode::kZero);
  ASSERT_NE(zero, nullptr);
  ASSERT_TRUE(zero->effect_n.has_value());
  // The jump is seen and taken out; a fifth of it is left open.
  EXPECT_NEAR(*zero->effect_n, 12.0, 1.2);
  EXPECT_THAT(zero->text, HasSubstr("the zero of c1 jumped by 6"));
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  EXPECT_NEAR(*b.peak_n, 900.0, *b.peak_u95_n);
  // The event ends although 60 N stay.
  EXPECT_LT(b.end_s, 6.5);
}

TEST_F(FaultySleeve, AfterAJumpOfZeroTheNextBiteIsSoundAgain) {
  Rows rows = Capture(Sum({BiteSpec{}, BiteSpec{12.0}}), 16.0);
  rows.StepFrom(2.7, 0, 60.0 * plate_.counts_per_n[0]);
  const auto bites = Run(rows);
  ASSERT_GE(bites.size(), 2U);
  const Bite& b = bites.back().bite;
  EXPECT_NEAR(b.start_s, 12.0, 0.02);
  EXPECT_EQ(b.verdict, Verdict::kSound);
  EXPECT_NEAR(*b.peak_n, 900.0, *b.peak_u95_n);
}

TEST_F(FaultySleeve, AChannelAtItsRailGivesALowerBound) {
  // 24 bits never end here; a 16-bit converter ends at 32767 counts.
  for (Channel& c : rig_.channels) {
    c.adc_min = -32768.0;
    c.adc_max = 32767.0;
  }
  Rows rows = PlainBite();
  for (auto& channel : rows.channel) {
    for (double& v : channel) v = std::clamp(v, -32768.0, 32767.0);
  }
  const auto bites = Run(rows);
  ASSERT_EQ(bites.size(), 1U);
  const Bite& b = bites[0].bite;
  const Reason* rail = ReasonOf(b, ReasonCode::kRail);
  ASSERT_NE(rail, nullptr);
  EXPECT_THAT(rail->text, HasSubstr("end of its converter's scale"));
  EXPECT_TRUE(b.at_least);
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  EXPECT_LT(*b.peak_n, 900.0);
}

TEST_F(FaultySleeve, AnOverloadedCellIsNamed) {
  for (Channel& c : rig_.channels) c.capacity = Force(200.0);
  const auto bites = Run(PlainBite());
  ASSERT_EQ(bites.size(), 1U);
  const Reason* overload = ReasonOf(bites[0].bite, ReasonCode::kOverload);
  ASSERT_NE(overload, nullptr);
  EXPECT_THAT(overload->text, HasSubstr("more than its capacity of 200 N"));
  EXPECT_EQ(bites[0].bite.verdict, Verdict::kDoubtful);
}

TEST_F(FaultySleeve, AGripOutsideTheCalibratedAreaIsAnEdge) {
  const auto bites = Run(Capture(BiteSpec{}, 8.0, {85.0, 0.0}));
  ASSERT_EQ(bites.size(), 1U);
  const Bite& b = bites[0].bite;
  const Reason* edge = ReasonOf(b, ReasonCode::kEdge);
  ASSERT_NE(edge, nullptr);
  ASSERT_TRUE(edge->effect_n.has_value());
  EXPECT_GT(*edge->effect_n, 0.0);
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  // Inside the margin of 12 mm nothing is said.
  const auto near = Run(Capture(BiteSpec{}, 8.0, {48.0, 0.0}));
  ASSERT_EQ(near.size(), 1U);
  EXPECT_EQ(ReasonOf(near[0].bite, ReasonCode::kEdge), nullptr);
}

TEST_F(FaultySleeve, ASupplyThatSagsIsNamed) {
  rig_.supply_minimum_mv = 3000.0;
  const Rows rows = PlainBite();
  const auto with_supply = [&](std::int64_t lowest) {
    RawBlock block = rows.Slice(0, rows.size());
    std::vector<std::int64_t> supply(rows.size(), 3300);
    for (std::size_t i = 2500; i < 2600; ++i) supply[i] = lowest;
    block.layout.push_back({Role::kSupplyMv, -1});
    block.columns.emplace_back(std::move(supply));
    std::vector<MeasuredBite> bites;
    PipelineEvents events;
    events.on_bite = [&](MeasuredBite&& b) { bites.push_back(std::move(b)); };
    Pipeline pipeline(rig_, calibration_, std::move(events));
    pipeline.Push(block);
    pipeline.Finish();
    return bites;
  };
  const auto sagged = with_supply(2890);
  ASSERT_EQ(sagged.size(), 1U);
  const Reason* sag = ReasonOf(sagged[0].bite, ReasonCode::kSag);
  ASSERT_NE(sag, nullptr);
  EXPECT_THAT(sag->text, HasSubstr("fell to 2890 mV"));
  EXPECT_EQ(sagged[0].bite.verdict, Verdict::kDoubtful);
  const auto good = with_supply(3001);
  ASSERT_EQ(good.size(), 1U);
  EXPECT_EQ(good[0].bite.verdict, Verdict::kSound);
}

}  // namespace
}  // namespace masseter
