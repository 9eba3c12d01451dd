#include "core/study/reliability.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/base/random_draws.h"
#include "core/study/bland_altman.h"
#include "core/study/gauge.h"
#include "core/study/published_ranges.h"

namespace masseter {
namespace {

// Spearman 1910 and Brown 1910, worked by hand: an ICC of 0.75 becomes 0.857,
// 0.9, 0.9375 and 0.968 with 2, 3, 5 and 10 bites.
TEST(SpearmanBrown, LiftsTheReliabilityOfAMean) {
  EXPECT_NEAR(SpearmanBrown(0.75, 2.0), 6.0 / 7.0, 1e-15);
  EXPECT_NEAR(SpearmanBrown(0.75, 3.0), 0.9, 1e-15);
  EXPECT_NEAR(SpearmanBrown(0.75, 5.0), 0.9375, 1e-15);
  EXPECT_EQ(BitesForReliability(0.75, 0.9), 3U);
  EXPECT_EQ(BitesForReliability(0.5, 0.9), 9U);
  EXPECT_EQ(BitesForReliability(0.95, 0.9), 1U);
  EXPECT_FALSE(BitesForReliability(0.0, 0.9).has_value());
  EXPECT_FALSE(BitesForReliability(-0.2, 0.9).has_value());
  EXPECT_FALSE(BitesForReliability(0.5, 1.0).has_value());
}

TEST(Reliability, RefusesWhatCannotBeTold) {
  EXPECT_FALSE(AnalyseReliability({1, 3, {1, 2, 3}}).has_value());
  EXPECT_FALSE(AnalyseReliability({3, 1, {1, 2, 3}}).has_value());
  EXPECT_FALSE(AnalyseReliability({2, 2, {5, 5, 5, 5}}).has_value());
}

TEST(Reliability, IsOneWhenRatersAgreeExactly) {
  const auto r = AnalyseReliability({3, 2, {1, 1, 2, 2, 3, 3}});
  ASSERT_TRUE(r.has_value());
  for (const Icc& icc : r->icc) EXPECT_EQ(icc.value, 1.0) << icc.form;
  EXPECT_EQ(r->sem_agreement, 0.0);
}

// ICC(1) of simulated tables with a known ICC of 0.6: the 95 % interval must
// hold it 95 % of the time (2000 tables: standard error 0.5 %).
TEST(Reliability, IntervalsHoldTheTruthAsOftenAsTheySay) {
  RandomNumbers random(7);
  int one = 0;
  int two = 0;
  constexpr int kTables = 2000;
  for (int t = 0; t < kTables; ++t) {
    RaterTable table{12, 4, std::vector<double>(48, 0.0)};
    std::vector<double> rater(4);
    for (double& r : rater) r = 0.3 * random.Normal();
    for (std::size_t d = 0; d < 12; ++d) {
      const double dog = std::sqrt(0.6) * random.Normal();
      for (std::size_t k = 0; k < 4; ++k) {
        table.value[d * 4 + k] =
            dog + rater[k] + std::sqrt(0.4 - 0.09) * random.Normal();
      }
    }
    const auto r = AnalyseReliability(table);
    ASSERT_TRUE(r.has_value());
    if (r->icc[1].lo <= 0.6 && 0.6 <= r->icc[1].hi) ++two;
    // Consistency leaves the raters out: 0.6 / (0.6 + 0.31).
    const double three = 0.6 / 0.91;
    if (r->icc[2].lo <= three && three <= r->icc[2].hi) ++one;
  }
  EXPECT_NEAR(one / double{kTables}, 0.95, 0.015);
  EXPECT_NEAR(two / double{kTables}, 0.95, 0.025);  // Satterthwaite's
}

TEST(BlandAltman, RefusesFewerThanThreeDogs) {
  EXPECT_FALSE(CompareMethods({{{1}, {2}}, {{2}, {3}}}).has_value());
  EXPECT_FALSE(CompareMethods({{{1}, {2}}, {{2}, {3}}, {{3}, {}}}).has_value());
}

// A table made of its effects: every component comes back.
TEST(Gauge, TakesHelperAndPlacingAsFactors) {
  RandomNumbers random(11);
  double dogs = 0.0;
  double helper = 0.0;
  double placing = 0.0;
  double error = 0.0;
  constexpr int kTables = 300;
  for (int t = 0; t < kTables; ++t) {
    CrossedTable table{{8, 3, 4}, 2, {}};
    std::vector<double> d(8);
    std::vector<double> h(3);
    std::vector<double> p(4);
    for (double& v : d) v = 2.0 * random.Normal();
    for (double& v : h) v = random.Normal();
    for (double& v : p) v = 0.5 * random.Normal();
    for (const double a : d) {
      for (const double b : h) {
        for (const double c : p) {
          for (int r = 0; r < 2; ++r) {
            table.values.push_back(a + b + c + 0.7 * random.Normal());
          }
        }
      }
    }
    const auto a = AnalyseCrossed(table, 1.0);
    ASSERT_TRUE(a.has_value());
    dogs += a->Find(1U)->variance / kTables;
    helper += a->Find(2U)->variance / kTables;
    placing += a->Find(4U)->variance / kTables;
    error += a->error_ms / kTables;
  }
  // Unbiased: within four standard errors of 300 tables.
  EXPECT_NEAR(dogs, 4.0, 4.0 * std::sqrt(2.0 * 17.0 / 7.0 / kTables));
  EXPECT_NEAR(helper, 1.0, 4.0 * std::sqrt(2.0 * 1.1 / 2.0 / kTables));
  EXPECT_NEAR(placing, 0.25, 4.0 * std::sqrt(2.0 * 0.08 / 3.0 / kTables));
  EXPECT_NEAR(error, 0.49, 4.0 * 0.49 * std::sqrt(2.0 / 96.0 / kTables));
}

TEST(Gauge, RefusesTablesWithoutRepeats) {
  EXPECT_FALSE(AnalyseGauge({{2, 2}, 1, {1, 2, 3, 4}}).has_value());
  EXPECT_FALSE(AnalyseGauge({{2}, 2, {1, 2, 3, 4}}).has_value());
  EXPECT_FALSE(AnalyseGauge({{2, 2}, 2, {1, 1, 1, 1, 1, 1, 1, 1}}).has_value());
}

TEST(PublishedRanges, NameTheirSourceAndMethod) {
  ASSERT_FALSE(PublishedRanges().empty());
  for (const PublishedRange& r : PublishedRanges()) {
    EXPECT_LT(r.low_n, r.high_n);
    EXPECT_FALSE(r.method.empty());
    EXPECT_FALSE(r.source.empty());
    EXPECT_FALSE(r.seen.empty());
  }
}

}  // namespace
}  // namespace masseter
