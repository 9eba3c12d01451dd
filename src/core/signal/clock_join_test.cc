#include "core/signal/clock_join.h"

#include <gtest/gtest.h>

#include <random>

namespace masseter {
namespace {

// Frames every 16 ms whose delay is 3 ms and more: exponential with a mean of
// 20 ms, the usual model of a queue.
ClockJoin Seen(double seconds, double offset_s, double drift_ppm, unsigned seed,
               double from_s = 0.0) {
  std::mt19937 random(seed);
  std::exponential_distribution<double> queue(1.0 / 0.020);
  ClockJoin join;
  for (double t = from_s; t < from_s + seconds; t += 0.016) {
    const double host = t + offset_s + 1e-6 * drift_ppm * t;
    join.Add(t, host + 0.003 + queue(random));
  }
  return join;
}

TEST(ClockJoin, FindsOffsetAndDriftUnderDelays) {
  // The smallest of 62 delays a second lies some 0.3 ms above the shortest
  // (20 ms / 62), so that over 600 s the line is good to a fraction of this:
  // 0.5 ms, and 0.5 ms over half the span is 1.7 ppm.
  for (unsigned seed = 1; seed <= 20; ++seed) {
    for (const double drift : {-80.0, 0.0, 40.0}) {
      const auto joined = Seen(600.0, 1.7e9, drift, seed).Estimate();
      ASSERT_TRUE(joined);
      EXPECT_NEAR(joined->drift_ppm, drift, 1.7);
      EXPECT_NEAR(joined->HostAt(300.0) - 1.7e9 - 300.0, 0.003 + 3e-4 * drift,
                  0.0005);
      EXPECT_LT(joined->spread_s, 0.002);
    }
  }
}

TEST(ClockJoin, IsExactWithoutDelays) {
  ClockJoin join;
  for (int i = 0; i < 100; ++i) join.Add(i, 50.0 + i * (1.0 + 25e-6));
  const auto joined = join.Estimate();
  ASSERT_TRUE(joined);
  // 100 s in doubles: 1e-14 of them a nanosecond's millionth.
  EXPECT_NEAR(joined->drift_ppm, 25.0, 1e-6);
  EXPECT_NEAR(joined->HostAt(0.0), 50.0, 1e-9);
  EXPECT_NEAR(joined->spread_s, 0.0, 1e-9);
}

TEST(ClockJoin, SaysNothingBeforeTenSeconds) {
  EXPECT_FALSE(Seen(9.0, 5.0, 0.0, 1).Estimate());
  EXPECT_TRUE(Seen(12.0, 5.0, 0.0, 1).Estimate());
}

// Whoever sets the host's clock while a sleeve is recorded: by seconds or
// hours, forward or back. The line belongs to the clock as it is now, and no
// drift is fitted through the step.
TEST(ClockJoin, FollowsTheHostsClockThroughAStep) {
  for (const double step : {3.0, 30.0, 59.0, 3600.0, 5.5 * 3600.0, -3.0, -30.0,
                            -3600.0, -5.5 * 3600.0}) {
    ClockJoin join;
    std::mt19937 random(1);
    std::exponential_distribution<double> queue(1.0 / 0.020);
    for (double t = 0.0; t < 200.0; t += 0.016) {
      const double offset = 1.7e9 + (t < 120.0 ? 0.0 : step);
      join.Add(t, t + offset + 0.003 + queue(random));
    }
    const auto joined = join.Estimate();
    ASSERT_TRUE(joined) << step;
    // 80 s of the spread that FindsOffsetAndDriftUnderDelays knows for 600 s.
    EXPECT_NEAR(joined->drift_ppm, 0.0, 15.0) << step;
    EXPECT_NEAR(joined->HostAt(200.0), 1.7e9 + 200.0 + step, 0.01) << step;
  }
}

// What comes late at once after the link stood for 25 s is no step: the line
// stays, drift and all.
TEST(ClockJoin, TakesAStallForADelay) {
  ClockJoin join;
  for (double t = 0.0; t < 200.0; t += 0.016) {
    const bool stalled = t > 100.0 && t < 125.0;
    join.Add(t, (stalled ? 125.0 : t) + 50.0 + 25e-6 * t);
  }
  const auto joined = join.Estimate();
  ASSERT_TRUE(joined);
  EXPECT_NEAR(joined->drift_ppm, 25.0, 0.1);
  EXPECT_LT(joined->at_s, 150.0);  // the middle of all of it
}

TEST(ClockJoin, BeginsAnewWhenTheHostsClockIsSetBack) {
  ClockJoin join = Seen(100.0, 1000.0, 0.0, 1);
  for (double t = 100.0; t < 160.0; t += 0.016) join.Add(t, t + 400.0);
  const auto joined = join.Estimate();
  ASSERT_TRUE(joined);
  EXPECT_NEAR(joined->offset_s, 400.0, 1e-6);
  EXPECT_NEAR(joined->drift_ppm, 0.0, 1e-3);
}

TEST(ClockJoin, ForgetsTheTimeBeforeTenMinutes) {
  ClockJoin join;
  // The drift changes from 50 to 10 ppm, as with the battery's warmth.
  double host = 0.0;
  for (int i = 0; i < 2000; ++i) {
    join.Add(i, host);
    host += 1.0 + (i < 1000 ? 50e-6 : 10e-6);
  }
  EXPECT_NEAR(join.Estimate()->drift_ppm, 10.0, 1e-3);
}

}  // namespace
}  // namespace masseter
