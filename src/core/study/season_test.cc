#include "core/study/season.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/base/random_draws.h"

namespace masseter {
namespace {

// Forces whose day means lie on exp(6 + 0.001 day), by hand.
TEST(Season, FindsATrendThatIsThere) {
  std::vector<SeasonBite> bites;
  for (const double day : {0.0, 14.0, 28.0, 42.0, 56.0}) {
    for (const double off : {-0.1, 0.0, 0.1}) {
      bites.push_back({day, std::exp(6.0 + 0.001 * day + off), false});
    }
  }
  const auto s = AnalyseSeason(bites);
  ASSERT_TRUE(s.has_value());
  ASSERT_TRUE(s->trend.has_value());
  EXPECT_NEAR(s->trend->per_month, std::expm1(0.03), 1e-12);
  EXPECT_NEAR(s->trend->start_force, std::exp(6.0), 1e-9);
  EXPECT_NEAR(s->within_day_sd, 0.1, 1e-12);
  EXPECT_FALSE(s->latest_is_a_fall);
}

// Daily means with day-to-day spread: the interval of the trend holds the truth
// 95 % of the time (2000 seasons: standard error 0.5 %).
TEST(Season, IntervalOfTheTrendHoldsTheTruth) {
  RandomNumbers random(3);
  int held = 0;
  for (int i = 0; i < 2000; ++i) {
    std::vector<SeasonBite> bites;
    for (int d = 0; d < 8; ++d) {
      const double mood = 0.1 * random.Normal();
      for (int b = 0; b < 4; ++b) {
        const double ln = 6.2 - 0.002 * 10.0 * d + mood + 0.2 * random.Normal();
        bites.push_back({10.0 * d, std::exp(ln), false});
      }
    }
    const auto s = AnalyseSeason(bites);
    ASSERT_TRUE(s.has_value());
    const double truth = std::expm1(-0.06);
    if (s->trend->lo <= truth && truth <= s->trend->hi) ++held;
  }
  EXPECT_NEAR(held / 2000.0, 0.95, 0.015);
}

std::vector<SeasonBite> SteadyDays(RandomNumbers& random, int days,
                                   double last) {
  std::vector<SeasonBite> bites;
  for (int d = 0; d < days; ++d) {
    const double mood = 0.08 * random.Normal();
    for (int b = 0; b < 4; ++b) {
      const double ln = 6.2 + mood + 0.2 * random.Normal() +
                        (d + 1 == days ? std::log(last) : 0.0);
      bites.push_back({7.0 * d, std::exp(ln), false});
    }
  }
  return bites;
}

TEST(Season, SeesASuddenFallAndLittleElse) {
  RandomNumbers random(17);
  int found = 0;
  int false_alarms = 0;
  for (int i = 0; i < 1000; ++i) {
    const auto fallen = AnalyseSeason(SteadyDays(random, 6, 0.55));
    const auto steady = AnalyseSeason(SteadyDays(random, 6, 1.0));
    ASSERT_TRUE(fallen && steady);
    found += fallen->latest_is_a_fall ? 1 : 0;
    false_alarms += steady->latest_is_a_fall ? 1 : 0;
  }
  // Five days before leave four degrees of freedom: most, not all.
  EXPECT_GT(found, 800);
  // One-sided 2.5 %, less where the day's own spread is the floor.
  EXPECT_LT(false_alarms, 35);
}

// 40 % of the bites known only from below: values as they are and values left
// out are both low, the estimate is not.
TEST(Season, TakesALowerBoundForWhatItIs) {
  RandomNumbers random(23);
  const double cut = 6.25;
  double estimate = 0.0;
  double as_values = 0.0;
  constexpr int kSeasons = 300;
  for (int i = 0; i < kSeasons; ++i) {
    std::vector<SeasonBite> bites;
    std::vector<SeasonBite> plain;
    for (int d = 0; d < 3; ++d) {
      for (int b = 0; b < 12; ++b) {
        const double ln = 6.2 + 0.25 * random.Normal();
        const bool over = ln > cut;
        bites.push_back({d * 7.0, std::exp(over ? cut : ln), over});
        plain.push_back({d * 7.0, std::exp(over ? cut : ln), false});
      }
    }
    const auto s = AnalyseSeason(bites);
    const auto p = AnalyseSeason(plain);
    ASSERT_TRUE(s && p);
    for (int d = 0; d < 3; ++d) {
      const auto at = static_cast<std::size_t>(d);
      estimate += std::log(s->days[at].force) / (3.0 * kSeasons);
      as_values += std::log(p->days[at].force) / (3.0 * kSeasons);
    }
  }
  EXPECT_NEAR(estimate, 6.2, 0.015);
  EXPECT_LT(as_values, 6.2 - 0.05);
}

TEST(Season, RefusesASingleDay) {
  EXPECT_FALSE(AnalyseSeason({{0, 500, false}, {0, 510, false}}).has_value());
  const auto two = AnalyseSeason({{0, 500, false}, {9, 510, false}});
  ASSERT_TRUE(two.has_value());
  EXPECT_FALSE(two->trend.has_value());
}

TEST(Season, StaysFiniteWhenEveryBiteIsALowerBound) {
  const auto s = AnalyseSeason({{0, 500, true},
                                {0, 520, true},
                                {5, 530, true},
                                {5, 500, true},
                                {9, 540, true}});
  ASSERT_TRUE(s.has_value());
  for (const SeasonDay& d : s->days) EXPECT_TRUE(std::isfinite(d.force));
}

}  // namespace
}  // namespace masseter
