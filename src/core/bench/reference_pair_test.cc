#include "core/bench/reference_pair.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace masseter {
namespace {

// Loads by hand: from zero up and down again, `n` times, never quite alike.
double Hand(double t) {
  if (t < 2.0) return 0.0;
  const double u = std::fmod(t - 2.0, 8.0);
  if (u > 6.0) return 0.0;
  const double s = std::sin(std::numbers::pi * u / 6.0);
  return 500.0 * s * s + 6.0 * s * std::sin(5.3 * t);
}

TimedSignals Record(double rate, double seconds, double delay, double clock,
                    const std::vector<double>& gain, double zero) {
  TimedSignals out;
  out.value.resize(gain.size());
  for (int i = 0; i < static_cast<int>(rate * seconds); ++i) {
    const double true_t = i / rate;
    out.t_s.push_back(true_t * clock);
    for (std::size_t c = 0; c < gain.size(); ++c) {
      out.value[c].push_back(zero + gain[c] * Hand(true_t - delay));
    }
  }
  return out;
}

TEST(ReferencePair, FindsAKnownDelayToAFractionOfASample) {
  // 200 samples/s: 5 ms a sample; the delays are no multiples of it.
  for (const double delay : {0.0, 0.0123, -0.3071, 1.2345}) {
    const auto a = Record(200.0, 20.0, 0.0, 1.0, {1.0}, 0.0);
    const auto b = Record(200.0, 20.0, delay, 1.0, {1.0}, 0.0);
    const auto lag = LagOf(a.value[0], b.value[0], 200.0, 2.0);
    ASSERT_TRUE(lag);
    EXPECT_NEAR(*lag, delay, 0.0003);
  }
}

TEST(ReferencePair, RecordsThatHaveNothingInCommonHaveNoDelay) {
  const auto a = Record(200.0, 20.0, 0.0, 1.0, {1.0}, 0.0);
  std::vector<double> noise(a.t_s.size());
  unsigned state = 1;
  for (double& v : noise) {
    state = 1664525U * state + 1013904223U;
    v = state / 4294967296.0;
  }
  EXPECT_FALSE(LagOf(a.value[0], noise, 200.0, 2.0));
}

TEST(ReferencePair, DelayedReferenceStillGivesTheTrueRatioInEveryBin) {
  const auto sleeve = Record(500.0, 42.0, 0.0, 1.0, {20.0, 30.0}, 1000.0);
  const auto reference = Record(80.0, 42.0, 0.31, 1.0, {1.0}, 3.0);
  const auto paired = PairReadings(sleeve, reference, {});
  ASSERT_TRUE(paired) << paired.error().Text();
  EXPECT_NEAR(paired->lag_s, 0.31, 0.002);
  EXPECT_NEAR(paired->reference_zero_n, 3.0, 0.05);
  EXPECT_EQ(paired->passes, 10);
  int loads = 0;
  for (const PairRow& row : paired->rows) {
    if (row.force_n == 0.0) {
      EXPECT_NEAR(row.signal[0], 1000.0, 20.0 * 0.02 * 500.0);
      continue;
    }
    ++loads;
    // 2 ms at 260 N/s, the steepest of the hand, are half a newton.
    EXPECT_NEAR((row.signal[0] - 1000.0) / 20.0, row.force_n, 0.7);
    EXPECT_NEAR((row.signal[1] - 1000.0) / 30.0, row.force_n, 0.7);
  }
  EXPECT_GE(loads, 70);
}

TEST(ReferencePair, FollowsAClockThatRunsApart) {
  // 1e-3 fast: 60 ms over a minute.
  const auto sleeve = Record(200.0, 66.0, 0.0, 1.0, {20.0}, 0.0);
  const auto reference = Record(200.0, 66.0, 0.1, 1.001, {1.0}, 0.0);
  const auto paired = PairReadings(sleeve, reference, {});
  ASSERT_TRUE(paired) << paired.error().Text();
  EXPECT_NEAR(paired->lag_drift, 1e-3, 2e-4);
  for (const PairRow& row : paired->rows) {
    if (row.force_n == 0.0) continue;
    EXPECT_NEAR(row.signal[0] / 20.0, row.force_n, 2.0);
  }
}

TEST(ReferencePair, EverySeriesStandsBetweenTwoZerosAndRisesBeforeItFalls) {
  const auto sleeve = Record(200.0, 27.0, 0.0, 1.0, {20.0}, 0.0);
  const auto reference = Record(200.0, 27.0, 0.0, 1.0, {1.0}, 0.0);
  const auto paired = PairReadings(sleeve, reference, {});
  ASSERT_TRUE(paired);
  int series = 0;
  for (std::size_t i = 0; i < paired->rows.size(); ++i) {
    const PairRow& row = paired->rows[i];
    if (row.series != series) {
      EXPECT_EQ(row.force_n, 0.0);
      EXPECT_TRUE(row.rising);
      if (i > 0) {
        EXPECT_EQ(paired->rows[i - 1].force_n, 0.0);
      }
      series = row.series;
    }
  }
  EXPECT_EQ(series, 3);
}

TEST(ReferencePair, SaysWhyItCannot) {
  const auto sleeve = Record(200.0, 20.0, 0.0, 1.0, {20.0}, 0.0);
  const auto brief = Record(200.0, 3.0, 0.0, 1.0, {1.0}, 0.0);
  EXPECT_FALSE(PairReadings(sleeve, brief, {}));
  TimedSignals still = Record(200.0, 20.0, 0.0, 1.0, {0.0}, 7.0);
  EXPECT_FALSE(PairReadings(sleeve, still, {}));
}

}  // namespace
}  // namespace masseter
