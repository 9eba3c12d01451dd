#include "core/signal/robust.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "core/signal/half_sine.h"

namespace masseter {
namespace {

using Values = std::vector<double>;

double Sorted(Values v) {
  std::sort(v.begin(), v.end());
  const std::size_t n = v.size();
  return n % 2 == 1 ? v[n / 2] : 0.5 * v[n / 2 - 1] + 0.5 * v[n / 2];
}

// Whole numbers in a small range, so that ties are common.
Values Random(std::size_t n, unsigned seed) {
  std::mt19937 engine(seed);
  Values values(n);
  for (double& v : values) v = static_cast<double>(engine() % 50U);
  return values;
}

TEST(Robust, MedianOfFewValues) {
  EXPECT_TRUE(std::isnan(Median({})));
  EXPECT_EQ(Median(Values{4}), 4.0);
  EXPECT_EQ(Median(Values{4, 1}), 2.5);
  EXPECT_EQ(Median(Values{9, 1, 4}), 4.0);
  EXPECT_EQ(Median(Values{1e308, 1.5e308}), 1.25e308);
}

TEST(Robust, MedianOfManyValuesInAnyOrder) {
  std::mt19937 engine(12);
  for (const std::size_t n : {9U, 10U, 64U, 501U, 4000U}) {
    for (const unsigned levels : {1U, 3U, 50U, 1000000U}) {
      Values random(n);
      for (double& v : random) v = static_cast<double>(engine() % levels);
      Values rising = random;
      std::sort(rising.begin(), rising.end());
      Values falling(rising.rbegin(), rising.rend());
      Values peaked = rising;  // 0, 2, 4, ..., 5, 3, 1: bad for the pivot
      for (std::size_t i = 0; i < n; ++i) {
        peaked[i % 2 == 0 ? i / 2 : n - 1 - i / 2] = rising[i];
      }
      for (const Values& values : {random, rising, falling, peaked}) {
        Values used = values;
        EXPECT_EQ(MedianInPlace(used), Sorted(values)) << n << ", " << levels;
        std::sort(used.begin(), used.end());
        EXPECT_EQ(used, rising);
      }
    }
  }
}

TEST(Robust, OneWildValueDoesNotMoveTheScale) {
  EXPECT_DOUBLE_EQ(MadSd(Values{1, 2, 3, 4, 5}), kMadToSd);
  EXPECT_DOUBLE_EQ(MadSd(Values{1, 2, 3, 4, 5e9}), kMadToSd);
}

TEST(RunningMedian, IsTheMedianOfTheLastValues) {
  const Values x = Random(600, 7);
  for (const std::size_t window : {1U, 2U, 3U, 4U, 5U, 8U, 31U, 64U, 601U}) {
    RunningMedian median(window);
    EXPECT_TRUE(std::isnan(median.value()));
    for (std::size_t i = 0; i < x.size(); ++i) {
      const std::size_t from = i + 1 < window ? 0 : i + 1 - window;
      const Values last(x.begin() + static_cast<std::ptrdiff_t>(from),
                        x.begin() + static_cast<std::ptrdiff_t>(i + 1));
      ASSERT_EQ(median.Push(x[i]), Sorted(last)) << window << ", " << i;
      ASSERT_EQ(median.size(), last.size());
    }
  }
}

TEST(RunningMedian, StartsAfreshWhenCleared) {
  RunningMedian median(3);
  median.Push(1);
  median.Push(9);
  median.Clear();
  EXPECT_EQ(median.size(), 0U);
  EXPECT_EQ(median.Push(5), 5.0);
}

TEST(RunningMedian, CentredWindowIsCutOffAtTheEnds) {
  for (const std::size_t n : {0U, 1U, 2U, 3U, 5U, 10U, 57U}) {
    const Values x = Random(n, 11);
    for (const std::size_t window : {1U, 3U, 5U, 7U, 21U, 201U}) {
      Values out(n);
      CentredRunningMedian(x, window, out);
      Values same = x;
      CentredRunningMedian(same, window, same);
      for (std::size_t i = 0; i < n; ++i) {
        const std::size_t half = window / 2;
        const std::size_t from = i < half ? 0 : i - half;
        const std::size_t to = std::min(n, i + half + 1);
        const Values part(x.begin() + static_cast<std::ptrdiff_t>(from),
                          x.begin() + static_cast<std::ptrdiff_t>(to));
        ASSERT_EQ(out[i], Sorted(part)) << n << ", " << window << ", " << i;
        ASSERT_EQ(same[i], out[i]);
      }
    }
  }
}

TEST(Hampel, MarksASpikeAndNothingElse) {
  Values x;
  for (int i = 0; i < 40; ++i) x.push_back(std::sin(0.3 * i));
  x[20] += 10.0;
  const std::vector<bool> marks = HampelOutliers(x, 4, 5.0);
  for (std::size_t i = 0; i < x.size(); ++i) EXPECT_EQ(marks[i], i == 20) << i;
}

TEST(Hampel, AStandingSignalNeedsALeastScale) {
  Values x(20, 3.0);
  x[7] = 3.5;
  EXPECT_FALSE(HampelOutliers(x, 3)[7]);
  EXPECT_TRUE(HampelOutliers(x, 3, 3.0, 0.1)[7]);
  EXPECT_FALSE(HampelOutliers(x, 3, 3.0, 0.2)[7]);
}

TEST(HalfSine, TheMethodsExampleOfSlowSampling) {
  // docs/method.md section 6: 80 samples/s and 50 ms lose 7.6 % at worst.
  EXPECT_NEAR(WorstSamplingLoss(0.05, 80), 0.076, 0.0005);
}

TEST(HalfSine, APulseBetweenTwoSamplesIsNotSeen) {
  EXPECT_EQ(WorstSamplingLoss(0.01, 50), 1.0);
  // Mean and rms join smoothly where one sample always falls on the pulse.
  EXPECT_NEAR(MeanSamplingLoss(0.01, 99.9999), MeanSamplingLoss(0.01, 100.0001),
              1e-5);
  EXPECT_NEAR(RmsSamplingLoss(0.01, 99.9999), RmsSamplingLoss(0.01, 100.0001),
              1e-5);
}

TEST(HalfSine, LossesJoinWhereTheirFormulaChanges) {
  // theta = 0.05 and 0.1 are where series take over from closed forms.
  for (const double theta : {0.05, 0.1}) {
    const double rate = 3.14159265358979323846 / (2.0 * theta);
    const double below = 1.0 - 1e-9;
    EXPECT_NEAR(RmsSamplingLoss(1, rate) / RmsSamplingLoss(1, rate * below), 1,
                1e-8);
    EXPECT_NEAR(MeanSamplingLoss(1, rate) / MeanSamplingLoss(1, rate * below),
                1, 1e-8);
  }
}

TEST(HalfSine, NonsenseGivesNoNumber) {
  EXPECT_TRUE(std::isnan(WorstSamplingLoss(0, 80)));
  EXPECT_TRUE(std::isnan(MeanSamplingLoss(0.1, -1)));
  EXPECT_TRUE(std::isnan(MovingAverageLoss(0.1, 0.2)));
  EXPECT_TRUE(std::isnan(OnePoleLoss(0.1, 0)));
  EXPECT_TRUE(std::isnan(RateForWorstLoss(0.1, 1.5)));
}

}  // namespace
}  // namespace masseter
