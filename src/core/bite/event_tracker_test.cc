#include "core/bite/event_tracker.h"

#include <gtest/gtest.h>

#include <functional>
#include <vector>

#include "core/bite/bite_testing.h"

namespace masseter {
namespace {

constexpr Thresholds kLimits = {10.0, 5.0};

// Runs a force over time through the tracker, 20 ms a frame.
std::vector<LoadEvent> Events(double duration_s,
                              const std::function<double(double)>& force,
                              double noise_n = 0.2) {
  EventTracker tracker;
  std::vector<LoadEvent> out;
  const int n = static_cast<int>(duration_s / kFrameS);
  for (int i = 0; i < n; ++i) {
    Frame frame;
    frame.rows = 20;
    frame.first_row = static_cast<std::uint64_t>(i) * 20;
    frame.start_s = i * kFrameS;
    frame.end_s = frame.start_s + 0.019;
    if (tracker.Push(frame, force(frame.start_s), kLimits, noise_n) ==
        EventTracker::Seen::kEnded) {
      out.push_back(tracker.event());
    }
  }
  if (tracker.Finish() == EventTracker::Seen::kEnded) {
    out.push_back(tracker.event());
  }
  return out;
}

double Box(double t, double from, double to, double force) {
  return t >= from - 1e-9 && t < to - 1e-9 ? force : 0.0;
}

TEST(Thresholds, AreAShareOfTheRangeAtMost20NewtonsAndAboveTheNoise) {
  EXPECT_DOUBLE_EQ(ThresholdsFor(2000.0, true, 0.1).on_n, 5.0);
  EXPECT_DOUBLE_EQ(ThresholdsFor(2000.0, true, 0.1).off_n, 2.5);
  EXPECT_DOUBLE_EQ(ThresholdsFor(40000.0, true, 0.1).on_n, 20.0);
  // Counts have no newtons to be capped at.
  EXPECT_DOUBLE_EQ(ThresholdsFor(40000.0, false, 0.1).on_n, 100.0);
  EXPECT_DOUBLE_EQ(ThresholdsFor(2000.0, true, 3.0).on_n, 18.0);
}

TEST(EventTracker, FindsEachBiteOnceWithItsFrames) {
  const auto events = Events(12.0, [](double t) {
    return Box(t, 2.0, 3.5, 400.0) + Box(t, 6.0, 7.0, 300.0);
  });
  ASSERT_EQ(events.size(), 2U);
  EXPECT_NEAR(events[0].start_s, 2.0, 1e-9);
  EXPECT_NEAR(events[0].end_s, 3.5, 1e-9);
  EXPECT_EQ(events[0].first_row, 2000U);
  EXPECT_EQ(events[0].end_row, 3500U);
  EXPECT_EQ(events[0].peak_n, 400.0);
  EXPECT_FALSE(events[0].cut);
  EXPECT_FALSE(events[0].zero_moved);
  EXPECT_NEAR(events[1].start_s, 6.0, 1e-9);
}

TEST(EventTracker, WhatStaysBelowTheThresholdIsNothing) {
  EXPECT_TRUE(Events(5.0, [](double) { return 9.9; }).empty());
}

TEST(EventTracker, HysteresisKeepsAFlickeringForceInOneEvent) {
  // Between off and on: begins nothing, ends nothing.
  const auto events = Events(6.0, [](double t) {
    return Box(t, 1.0, 1.1, 50.0) + Box(t, 1.1, 3.0, 7.0);
  });
  ASSERT_EQ(events.size(), 1U);
  EXPECT_NEAR(events[0].end_s, 3.0, 1e-9);
}

TEST(EventTracker, OffIsAlsoAShareOfThePeak) {
  // 1.5 % of 1000 N is 15 N: 12 N afterwards is a cover that comes back.
  const auto events = Events(6.0, [](double t) {
    return Box(t, 1.0, 2.0, 1000.0) + Box(t, 2.0, 4.0, 12.0);
  });
  ASSERT_FALSE(events.empty());
  EXPECT_NEAR(events[0].end_s, 2.0, 1e-9);
}

TEST(EventTracker, AShortReleaseStaysInsideALongOneSplits) {
  const auto with_pause = [](double pause_s) {
    return Events(8.0, [pause_s](double t) {
      return Box(t, 1.0, 2.0, 400.0) +
             Box(t, 2.0 + pause_s, 3.0 + pause_s, 300.0);
    });
  };
  EXPECT_EQ(with_pause(0.30).size(), 1U);
  EXPECT_EQ(with_pause(0.36).size(), 1U);
  EXPECT_EQ(with_pause(0.44).size(), 2U);
  EXPECT_EQ(with_pause(0.80).size(), 2U);
}

TEST(EventTracker, AForceThatStandsStillIsAZeroThatMoved) {
  const auto events = Events(10.0, [](double t) {
    return Box(t, 1.0, 2.0, 600.0) + Box(t, 2.0, 10.0, 40.0);
  });
  ASSERT_GE(events.size(), 1U);
  EXPECT_TRUE(events[0].zero_moved);
  EXPECT_NEAR(events[0].end_s, 2.0, 0.1);
}

// As a lone cell's does that moved by a third of the bite.
TEST(EventTracker, AThirdOfThePeakThatStandsStillForThreeSecondsIsNoBite) {
  const auto events = Events(12.0, [](double t) {
    return Box(t, 1.0, 2.0, 600.0) + Box(t, 2.0, 12.0, 200.0) +
           Box(t, 6.5, 7.5, 500.0);
  });
  ASSERT_GE(events.size(), 1U);
  EXPECT_TRUE(events[0].zero_moved);
  EXPECT_NEAR(events[0].end_s, 2.0, 0.1);
}

TEST(EventTracker, ADogThatHoldsIsNotAZeroThatMoved) {
  // 300 N held for six seconds, wavering by 4 %: half the peak, not a twelfth.
  const auto events = Events(12.0, [](double t) {
    const double held = 300.0 * (1.0 + 0.04 * std::sin(9.0 * t));
    return Box(t, 1.0, 1.2, 600.0) + Box(t, 1.2, 7.2, held);
  });
  ASSERT_EQ(events.size(), 1U);
  EXPECT_FALSE(events[0].zero_moved);
  EXPECT_NEAR(events[0].end_s, 7.2, 0.021);
}

TEST(EventTracker, ACaptureThatEndsUnderLoadIsCut) {
  const auto cut =
      Events(3.0, [](double t) { return Box(t, 2.0, 9.0, 400.0); });
  ASSERT_EQ(cut.size(), 1U);
  EXPECT_TRUE(cut[0].cut);
  // Released already, only not long enough ago: not cut.
  const auto free =
      Events(3.0, [](double t) { return Box(t, 2.0, 2.8, 400.0); });
  ASSERT_EQ(free.size(), 1U);
  EXPECT_FALSE(free[0].cut);
  EXPECT_NEAR(free[0].end_s, 2.8, 1e-9);
}

}  // namespace
}  // namespace masseter
