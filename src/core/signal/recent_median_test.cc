#include "core/signal/recent_median.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include "core/signal/robust.h"

namespace masseter {
namespace {

// RunningMedian is held against sorting in robust_test.cc.
void ExpectTheSame(const std::vector<double>& values, std::size_t window) {
  RecentMedian recent(window);
  RunningMedian running(window);
  for (std::size_t i = 0; i < values.size(); ++i) {
    ASSERT_EQ(recent.Push(values[i]), running.Push(values[i]))
        << "window " << window << ", value " << i;
  }
}

constexpr std::size_t kWindows[] = {1, 3, 5, 31, 33, 35, 151, 201};

TEST(RecentMedian, IsTheRunningMedianOfNoise) {
  std::mt19937 random(3);
  std::normal_distribution<double> noise(0.0, 1.0);
  std::vector<double> values(5000);
  for (double& v : values) v = noise(random);
  for (const std::size_t window : kWindows) ExpectTheSame(values, window);
}

TEST(RecentMedian, IsTheRunningMedianOfFewLevelsAndOfOne) {
  std::mt19937 random(4);
  for (const unsigned levels : {1U, 2U, 5U, 40U}) {
    std::vector<double> values(3000);
    for (double& v : values) v = static_cast<double>(random() % levels);
    for (const std::size_t window : kWindows) ExpectTheSame(values, window);
  }
}

TEST(RecentMedian, FollowsRampsStepsAndANarrowingScatter) {
  std::mt19937 random(5);
  std::normal_distribution<double> noise(0.0, 1.0);
  std::vector<double> values;
  for (int i = 0; i < 1000; ++i) values.push_back(i);
  for (int i = 0; i < 1000; ++i) values.push_back(1000.0 - 3.0 * i);
  for (int i = 0; i < 2000; ++i) {
    values.push_back(noise(random) * (i < 700 ? 100.0 : 0.01) +
                     (i > 1400 ? 50.0 : 0.0));
  }
  for (const std::size_t window : kWindows) ExpectTheSame(values, window);
}

TEST(RecentMedian, StartsAfreshWhenCleared) {
  RecentMedian median(3);
  for (const double v : {1.0, 9.0, 9.0, 9.0}) median.Push(v);
  median.Clear();
  EXPECT_EQ(median.Push(5.0), 5.0);
  EXPECT_EQ(median.Push(7.0), 6.0);
}

TEST(RecentMedian, ForgetsWhatWasNoNumber) {
  RecentMedian median(5);
  for (const double v : {1.0, std::nan(""), 2.0, std::nan(""), 3.0}) {
    median.Push(v);
  }
  EXPECT_EQ(median.Push(-std::numeric_limits<double>::infinity()), 3.0);
  for (const double v : {4.0, 5.0, 6.0, 7.0}) median.Push(v);
  EXPECT_EQ(median.Push(8.0), 6.0);
}

}  // namespace
}  // namespace masseter
