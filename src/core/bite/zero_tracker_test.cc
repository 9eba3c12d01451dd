#include "core/bite/zero_tracker.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/bite/bite_testing.h"

namespace masseter {
namespace {

Frame FrameAt(double t_s, double mean, double variance = 4.0) {
  Frame frame;
  frame.rows = 20;
  frame.start_s = t_s;
  frame.end_s = t_s + 0.019;
  frame.mean[0] = mean;
  frame.noise_variance[0] = variance;
  return frame;
}

class ZeroOfOneCell : public ::testing::Test {
 protected:
  ForceModel model_ =
      MakeForceModel(testing_plate::OneCellRig(SignalUnit::kNewton), nullptr);
  ZeroTracker zero_{model_};
};

TEST_F(ZeroOfOneCell, IsFoundAfterHalfASteadySecond) {
  int found_at = 0;
  for (int i = 1; i <= 40 && found_at == 0; ++i) {
    if (zero_.Seek(FrameAt(0.02 * i, 55.0))) found_at = i;
  }
  EXPECT_EQ(found_at, 25);
  EXPECT_NEAR(zero_.value()[0], 55.0, 1e-12);
  EXPECT_NEAR(zero_.FrameForce(FrameAt(1.0, 65.0)), 10.0, 1e-12);
}

TEST_F(ZeroOfOneCell, IsNotTakenFromAForceThatRises) {
  for (int i = 0; i < 200; ++i) {
    EXPECT_FALSE(zero_.Seek(FrameAt(0.02 * i, 3.0 * i)));
  }
  ASSERT_TRUE(zero_.Settle());
  // A tenth of the frames lies lowest: the middle of 0 .. 57.
  EXPECT_NEAR(zero_.value()[0], 30.0, 6.0);
}

TEST_F(ZeroOfOneCell, FollowsADriftAndIgnoresOutliers) {
  for (int i = 0; i < 25; ++i) zero_.Seek(FrameAt(0.02 * i, 0.0));
  ASSERT_TRUE(zero_.found());
  for (int i = 25; i < 1000; ++i) {
    const double drift = 0.01 * i;
    zero_.AddQuiet(FrameAt(0.02 * i, i % 5 == 0 ? drift + 80.0 : drift));
  }
  // The median of 3 s lags by 1.5 s, 0.75 N, and outliers shift its rank.
  EXPECT_NEAR(zero_.value()[0], 10.0 - 0.75, 0.4);
}

TEST_F(ZeroOfOneCell, NoiseIsThatOfTheQuietStretch) {
  testing_plate::Draw draw(4);
  for (int i = 0; i < 400; ++i) {
    const Frame frame = FrameAt(0.02 * i, draw.Normal(0.5), 4.0);
    if (!zero_.found()) {
      zero_.Seek(frame);
    } else {
      zero_.AddQuiet(frame);
    }
  }
  EXPECT_NEAR(zero_.sample_noise_n(), 2.0, 1e-9);
  EXPECT_NEAR(zero_.frame_noise_n(), 0.5, 0.15);
}

TEST_F(ZeroOfOneCell, BetweenIsTheMedianOfItsFramesOnly) {
  for (int i = 0; i < 25; ++i) zero_.Seek(FrameAt(0.02 * i, 0.0));
  for (int i = 25; i < 100; ++i) zero_.AddQuiet(FrameAt(0.02 * i, 7.0));
  const auto late = zero_.Between(0.5, 2.0, 5);
  ASSERT_TRUE(late.has_value());
  EXPECT_EQ(late->value[0], 7.0);
  EXPECT_EQ(late->frames, 75);
  EXPECT_FALSE(zero_.Between(0.5, 0.55, 5).has_value());
  zero_.Forget(1.9);
  EXPECT_FALSE(zero_.Between(0.0, 1.5, 5).has_value());
}

TEST_F(ZeroOfOneCell, ARestartBeginsFromTheFrame) {
  for (int i = 0; i < 100; ++i) {
    if (!zero_.found()) {
      zero_.Seek(FrameAt(0.02 * i, 0.0));
    } else {
      zero_.AddQuiet(FrameAt(0.02 * i, 0.0));
    }
  }
  zero_.Restart(FrameAt(2.0, 120.0));
  EXPECT_EQ(zero_.value()[0], 120.0);
}

TEST(FrameNoise, IsTheNoiseWhateverTheTrend) {
  // Half the mean square of successive differences (von Neumann, 1941): a
  // slope of 50 N/s adds 0.05 N a sample, nothing beside 3 N of noise.
  const Rig rig = testing_plate::OneCellRig(SignalUnit::kNewton);
  Timeline timeline(rig);
  SampleWindow window;
  const auto rows = testing_bite::OnOneCell(
      20.0, [](double t) { return 50.0 * t; }, {1000.0, 3.0, 9});
  timeline.Push(rows.Slice(0, rows.size()), window.block());
  double variance = 0.0;
  for (std::uint64_t k = 0; k < 1000; ++k) {
    variance += MakeFrame(window, 20 * k, 20).noise_variance[0] / 1000.0;
  }
  EXPECT_NEAR(std::sqrt(variance), 3.0, 0.1);
}

}  // namespace
}  // namespace masseter
