#include "core/trust/figure_steps.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/bite/bite_testing.h"

namespace masseter {
namespace {

using testing_bite::BiteSpec;
using testing_bite::Rows;

// A bite of the test plate at `at`, with its steps.
class Steps : public ::testing::Test {
 protected:
  Steps() {
    plate_.shell = 0.08;
    calibration_ = testing_bite::CalibrationOf(plate_);
    rig_ = testing_plate::FourCellRig(plate_, 1000.0);
  }
  Rows At(Place at) const {
    return testing_bite::OnPlate(plate_, at, 6.0, spec_, {});
  }
  MeasuredBite Measured(const Rows& rows) const {
    MeasuredBite out;
    PipelineEvents events;
    events.on_bite = [&](MeasuredBite&& b) { out = std::move(b); };
    Pipeline pipeline(rig_, &calibration_, std::move(events));
    pipeline.KeepSteps();
    pipeline.Push(rows.Slice(0, rows.size()));
    pipeline.Finish();
    return out;
  }
  static double Sum(const FigureSteps& s) {
    double sum = s.as_read_n + s.zero_n + s.place_n + s.crest_n;
    for (const FaultStep& f : s.faults) sum += f.change_n;
    return sum;
  }

  testing_plate::Plate plate_;
  Calibration calibration_;
  Rig rig_;
  BiteSpec spec_;  // 900 N
};

TEST_F(Steps, AddUpToThePeak) {
  for (const Place at : {Place{0, 0}, Place{40, 12}}) {
    const MeasuredBite b = Measured(At(at));
    ASSERT_TRUE(b.steps && b.bite.peak_n);
    EXPECT_NEAR(Sum(*b.steps), *b.bite.peak_n, 1e-9);
    EXPECT_TRUE(b.steps->faults.empty());
    EXPECT_EQ(b.steps->zero_n, 0.0);
  }
}

TEST_F(Steps, TheMapIsWorthWhatOneFactorMissesAtThatPlace) {
  const MeasuredBite middle = Measured(At({0, 0}));
  const MeasuredBite end = Measured(At({40, 12}));
  // The plate's own law at the place: what one factor for the sum misses.
  const auto sum = [&](Place at) {
    double s = 0.0;
    for (const double v : plate_.Signals(900.0, at)) s += v;
    for (const double v : plate_.Signals(0.0, at)) s -= v;
    return s;
  };
  const double missed = 900.0 * (1.0 - sum({40, 12}) / sum({0, 0}));
  EXPECT_GT(std::abs(missed), 5.0);
  EXPECT_NEAR(end.steps->place_n - middle.steps->place_n, missed,
              0.005 * 900.0);  // what the map itself leaves
}

TEST_F(Steps, AJumpOfZeroAndAStuckChannelAreWorthTheirShare) {
  Rows jumped = At({0, 0});
  // 60 N on one channel from before the peak on.
  jumped.StepFrom(2.03, 1, 60.0 * plate_.counts_per_n[1]);
  const MeasuredBite zero = Measured(jumped);
  ASSERT_TRUE(zero.steps);
  EXPECT_NEAR(zero.steps->zero_n, -60.0, 6.0);
  EXPECT_NEAR(Sum(*zero.steps), *zero.bite.peak_n, 1e-9);

  Rows stuck = At({0, 0});
  auto& c = stuck.channel[2];
  for (std::size_t i = stuck.RowAt(1.9); i < stuck.RowAt(4.0); ++i) {
    c[i] = c[stuck.RowAt(1.9)];
  }
  const MeasuredBite repaired = Measured(stuck);
  ASSERT_TRUE(repaired.steps);
  ASSERT_EQ(repaired.steps->faults.size(), 1U);
  EXPECT_EQ(repaired.steps->faults[0].code, ReasonCode::kStuck);
  // In the middle each of four cells carries a quarter.
  EXPECT_NEAR(repaired.steps->faults[0].change_n, 225.0, 25.0);
}

TEST_F(Steps, AWildWordIsAFault) {
  Rows rows = At({0, 0});
  rows.channel[3][rows.RowAt(2.4)] = 8388607.0;
  const MeasuredBite b = Measured(rows);
  ASSERT_TRUE(b.steps);
  ASSERT_EQ(b.steps->faults.size(), 1U);
  EXPECT_EQ(b.steps->faults[0].code, ReasonCode::kGlitch);
  EXPECT_LT(b.steps->faults[0].change_n, -10000.0);
  EXPECT_NEAR(Sum(*b.steps), *b.bite.peak_n, 1e-6);
}

TEST_F(Steps, AreOnlyTakenWhenAskedFor) {
  const auto bites = testing_bite::RunPipeline(rig_, &calibration_, At({0, 0}));
  ASSERT_EQ(bites.size(), 1U);
  EXPECT_FALSE(bites[0].steps.has_value());
}

}  // namespace
}  // namespace masseter
