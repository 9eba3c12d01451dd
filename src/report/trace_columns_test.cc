#include "report/trace_columns.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace masseter {
namespace {

// Samples every millisecond over [0, seconds), all 10 N.
struct Samples {
  std::vector<double> t;
  std::vector<double> f;
  explicit Samples(double seconds) {
    for (int i = 0; i < static_cast<int>(seconds * 1000.0 + 0.5); ++i) {
      t.push_back(i / 1000.0);
      f.push_back(10.0);
    }
  }
  // Removes the samples with start < t < end.
  void Cut(double start, double end) {
    for (std::size_t i = t.size(); i-- > 0;) {
      if (t[i] > start && t[i] < end) {
        t.erase(t.begin() + static_cast<std::ptrdiff_t>(i));
        f.erase(f.begin() + static_cast<std::ptrdiff_t>(i));
      }
    }
  }
};

std::size_t Missing(const TraceColumns& trace) {
  std::size_t count = 0;
  for (const float force : trace.low_n) count += std::isnan(force) ? 1u : 0u;
  return count;
}

float Highest(const TraceColumns& trace) {
  float highest = -1.0F;
  for (const float force : trace.high_n) {
    if (force > highest) highest = force;
  }
  return highest;
}

TEST(TraceColumns, KeepTheLowestAndHighestOfEachColumn) {
  Samples s(1.0);
  s.f[555] = 743.0;
  s.f[556] = -3.0;
  const TraceColumns trace = MakeTraceColumns(s.t, s.f, {}, 0.0, 1.0, 10);
  ASSERT_EQ(trace.high_n.size(), 10u);
  EXPECT_DOUBLE_EQ(trace.column_s, 0.1);
  EXPECT_EQ(trace.high_n[5], 743.0F);
  EXPECT_EQ(trace.low_n[5], -3.0F);
  EXPECT_EQ(trace.high_n[4], 10.0F);
  EXPECT_EQ(Missing(trace), 0u);
}

TEST(TraceColumns, AreMissingWhereAGapLeavesNoSample) {
  Samples s(1.0);
  s.Cut(0.3, 0.6);
  const std::vector<TraceGap> gaps = {{0.3, 0.6}};
  const TraceColumns trace = MakeTraceColumns(s.t, s.f, gaps, 0.0, 1.0, 20);
  EXPECT_TRUE(std::isnan(trace.low_n[7]));
  EXPECT_TRUE(std::isnan(trace.high_n[10]));
  EXPECT_EQ(trace.high_n[5], 10.0F);
  EXPECT_EQ(trace.high_n[13], 10.0F);
}

TEST(TraceColumns, ShowAGapNarrowerThanAColumnAndKeepThePeakBesideIt) {
  Samples s(1.0);
  s.Cut(0.550, 0.556);
  for (std::size_t i = 0; i < s.t.size(); ++i) {
    if (std::abs(s.t[i] - 0.557) < 1e-9) s.f[i] = 743.0;
  }
  const std::vector<TraceGap> gaps = {{0.550, 0.556}};
  const TraceColumns trace = MakeTraceColumns(s.t, s.f, gaps, 0.0, 1.0, 10);
  EXPECT_EQ(Missing(trace), 1u);
  EXPECT_TRUE(std::isnan(trace.low_n[5]));
  EXPECT_EQ(Highest(trace), 743.0F);
}

TEST(TraceColumns, KeepThePeakBetweenTwoNarrowGaps) {
  Samples s(1.0);
  s.Cut(0.590, 0.598);
  s.Cut(0.601, 0.609);
  for (std::size_t i = 0; i < s.t.size(); ++i) {
    if (std::abs(s.t[i] - 0.600) < 1e-9) s.f[i] = 743.0;
  }
  const std::vector<TraceGap> gaps = {{0.590, 0.598}, {0.601, 0.609}};
  const TraceColumns trace = MakeTraceColumns(s.t, s.f, gaps, 0.0, 1.0, 10);
  EXPECT_GE(Missing(trace), 1u);
  EXPECT_EQ(Highest(trace), 743.0F);
}

TEST(TraceColumns, JoinSlowSamplesByAStraightLine) {
  const std::vector<double> t = {0.0, 0.5, 1.0};
  const std::vector<double> f = {0.0, 100.0, 0.0};
  const TraceColumns trace = MakeTraceColumns(t, f, {}, 0.0, 1.0, 10);
  EXPECT_EQ(Missing(trace), 0u);
  EXPECT_FLOAT_EQ(trace.low_n[2], 40.0F);
  EXPECT_FLOAT_EQ(trace.high_n[2], 60.0F);
  EXPECT_EQ(Highest(trace), 100.0F);
}

TEST(TraceColumns, AreMissingBeforeTheFirstAndAfterTheLastSample) {
  const Samples s(0.5);
  const TraceColumns trace = MakeTraceColumns(s.t, s.f, {}, -0.5, 1.0, 15);
  EXPECT_TRUE(std::isnan(trace.low_n[0]));
  EXPECT_TRUE(std::isnan(trace.low_n[4]));
  EXPECT_EQ(trace.low_n[5], 10.0F);
  EXPECT_EQ(trace.low_n[9], 10.0F);
  EXPECT_TRUE(std::isnan(trace.low_n[10]));
}

TEST(TraceColumns, TakeForcesThatAreNotFiniteAsMissing) {
  const std::vector<double> t = {0.05, 0.15, 0.25};
  const std::vector<double> f = {1.0, std::nan(""), 3.0};
  const TraceColumns trace = MakeTraceColumns(t, f, {}, 0.0, 0.3, 3);
  EXPECT_EQ(trace.low_n[0], 1.0F);
  EXPECT_TRUE(std::isnan(trace.low_n[1]));
  EXPECT_EQ(trace.low_n[2], 3.0F);
}

TEST(TraceColumns, AreEmptyForAnEmptySpan) {
  const Samples s(1.0);
  EXPECT_TRUE(MakeTraceColumns(s.t, s.f, {}, 1.0, 1.0, 10).low_n.empty());
  EXPECT_TRUE(MakeTraceColumns(s.t, s.f, {}, 0.0, 1.0, 0).low_n.empty());
}

}  // namespace
}  // namespace masseter
