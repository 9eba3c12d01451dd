// What a plan promises, against studies simulated bite by bite.
#include "core/study/plan_size.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/base/random_draws.h"
#include "core/metrology/student_t.h"
#include "core/study/anova.h"
#include "core/study/reliability.h"

namespace masseter {
namespace {

constexpr StudyPrior kPrior{0.45, 0.26};

// The mean of a statistic over studies simulated bite by bite, evaluated as a
// user's table is.
template <class Statistic>
double Simulated(const StudyPrior& p, int dogs, int bites, int studies,
                 const Statistic& statistic) {
  RandomNumbers random(424242);
  double sum = 0.0;
  for (int s = 0; s < studies; ++s) {
    std::vector<double> value;
    std::vector<std::size_t> group;
    for (int d = 0; d < dogs; ++d) {
      const double dog = 6.0 + p.dog_sd * random.Normal();
      for (int b = 0; b < bites; ++b) {
        value.push_back(dog + p.bite_sd * random.Normal());
        group.push_back(static_cast<std::size_t>(d));
      }
    }
    const auto a = AnalyseOneWay(value, group, static_cast<std::size_t>(dogs));
    EXPECT_TRUE(a.has_value());
    sum += statistic(*a, value);
  }
  return sum / studies;
}

double HalfWidth(double ms, double count, double dof) {
  return std::sinh(CoverageFactor(0.95, dof) * std::sqrt(ms / count));
}

// The promise is met within 10 %, as asked of it; 2000 studies leave about
// 1 % of noise.
TEST(PlanSize, KeepsThePromisedWidthOfEveryDogsMean) {
  StudyWish wish{StudyGoal::kDogMean, 0.15};
  wish.dogs = 8;
  const auto plan = PlanStudy(kPrior, wish);
  ASSERT_TRUE(plan.has_value());
  const StudyDesign d = plan->chosen;
  EXPECT_LE(d.promised, 0.15);
  const double is = Simulated(
      kPrior, d.dogs, d.bites, 2000, [&](const OneWayAnova& a, const auto&) {
        return HalfWidth(a.within_ms, d.bites, a.within_dof);
      });
  EXPECT_NEAR(is / d.promised, 1.0, 0.02);
  // One bite fewer would not do.
  EXPECT_GT(PromiseOf(kPrior, wish, d.dogs, d.bites - 1), 0.15);
}

TEST(PlanSize, KeepsThePromisedWidthOfTheGroupsMean) {
  const StudyWish wish{StudyGoal::kGroupMean, 0.2};
  const auto plan = PlanStudy(kPrior, wish);
  ASSERT_TRUE(plan.has_value());
  const StudyDesign d = plan->chosen;
  const double is = Simulated(
      kPrior, d.dogs, d.bites, 2000, [&](const OneWayAnova& a, const auto&) {
        return HalfWidth(a.between_ms, d.total(), a.between_dof);
      });
  EXPECT_NEAR(is / d.promised, 1.0, 0.02);
  EXPECT_LE(is, 0.2 * 1.1);
  EXPECT_GE(is, 0.2 * 0.9);
}

TEST(PlanSize, KeepsThePromisedWidthOfTheIcc) {
  const StudyWish wish{StudyGoal::kIccWidth, 0.3};
  const auto plan = PlanStudy(kPrior, wish);
  ASSERT_TRUE(plan.has_value());
  const StudyDesign d = plan->chosen;
  const double is = Simulated(kPrior, d.dogs, d.bites, 2000,
                              [&](const OneWayAnova& a, const auto&) {
                                const Icc icc = OneWayIcc(a);
                                return icc.hi - icc.lo;
                              });
  EXPECT_NEAR(is / d.promised, 1.0, 0.03);
  EXPECT_NEAR(is, 0.3, 0.03);
  EXPECT_GT(PromiseOf(kPrior, wish, d.dogs - 1, d.bites), 0.3);
}

TEST(PlanSize, TellsTwoDogsApartAsOftenAsItSays) {
  StudyWish wish{StudyGoal::kDogs, 0.4};
  wish.dogs = 6;
  const auto plan = PlanStudy(kPrior, wish);
  ASSERT_TRUE(plan.has_value());
  const StudyDesign d = plan->chosen;
  EXPECT_GE(d.promised, 0.8);
  RandomNumbers random(5);
  const double is = Simulated(
      kPrior, d.dogs, d.bites, 4000, [&](const OneWayAnova& a, const auto&) {
        // The means of two dogs, log(1.4) apart; the spread from all dogs.
        const double se = std::sqrt(2.0 / d.bites);
        const double seen =
            std::log(1.4) + kPrior.bite_sd * se * random.Normal();
        const double t = CoverageFactor(0.95, a.within_dof);
        return std::abs(seen) > t * se * a.residual_sd ? 1.0 : 0.0;
      });
  EXPECT_NEAR(is, d.promised, 0.025);
}

// Two groups, dogs random: Welch-free t-test with 2 (k - 1) degrees of freedom;
// the sample-size formula 2 (1.96 + 0.8416)^2 s^2 / delta^2 per group (common
// practice) is a lower bound close by.
TEST(PlanSize, GivesTheUsualNumberOfDogsForTwoBreeds) {
  StudyWish wish{StudyGoal::kGroups, 0.5};
  wish.bites = 4;
  const auto plan = PlanStudy(kPrior, wish);
  ASSERT_TRUE(plan.has_value());
  const double s2 = 0.45 * 0.45 + 0.26 * 0.26 / 4.0;
  const double delta = std::log(1.5);
  const double each =
      2.0 * std::pow(1.959964 + 0.841621, 2) * s2 / (delta * delta);
  EXPECT_EQ(plan->chosen.dogs % 2, 0);
  EXPECT_GE(plan->chosen.dogs / 2, std::floor(each));
  EXPECT_LE(plan->chosen.dogs / 2, std::ceil(each) + 3);
}

TEST(PlanSize, UsesSpearmanAndBrownForAReliability) {
  // An ICC of 0.75 reaches 0.9 with three bites.
  const auto plan =
      PlanStudy({std::sqrt(0.75), 0.5}, {StudyGoal::kReliability, 0.899999});
  ASSERT_TRUE(plan.has_value());
  EXPECT_EQ(plan->chosen.bites, 3);
}

TEST(PlanSize, RefusesWhatNoDesignGives) {
  EXPECT_FALSE(PlanStudy({0.4, 0.0}, {}).has_value());
  EXPECT_FALSE(PlanStudy({NAN, 0.3}, {}).has_value());
  EXPECT_FALSE(PlanStudy(kPrior, {StudyGoal::kDogMean, -0.1}).has_value());
  EXPECT_FALSE(PlanStudy(kPrior, {StudyGoal::kIccWidth, 1.5}).has_value());
  const auto far = PlanStudy(kPrior, {StudyGoal::kDogMean, 0.001});
  ASSERT_FALSE(far.has_value());
  EXPECT_NE(far.error().what.find("30 bites"), std::string::npos);
  StudyWish odd{StudyGoal::kGroups, 0.5};
  odd.dogs = 7;
  EXPECT_FALSE(PlanStudy(kPrior, odd).has_value());
}

}  // namespace
}  // namespace masseter
