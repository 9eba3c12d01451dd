#include "core/trust/consistency.h"

#include <gtest/gtest.h>

#include <vector>

namespace masseter {
namespace {

// Expected values: R 4.2.2 (weighted.mean, pchisq, uniroot to 1e-13).
TEST(Consistency, IsTheWeightedScatterOverTheStatedOne) {
  const std::vector<StatedValue> v{
      {10.0, 1.0}, {12.0, 1.0}, {11.0, 2.0}, {15.0, 1.5}};
  const auto c = TestConsistency(v);
  ASSERT_TRUE(c.has_value());
  EXPECT_EQ(c->values, 4U);
  EXPECT_NEAR(c->mean, 11.6597938144330, 1e-11);
  EXPECT_NEAR(c->mean_u, 0.6092076990802, 1e-12);
  EXPECT_NEAR(c->chi_squared, 7.9381443298969, 1e-11);
  EXPECT_NEAR(c->birge_ratio, 1.6266677933634, 1e-11);
  EXPECT_NEAR(c->p, 0.0473075240238, 1e-11);
  EXPECT_NEAR(c->beyond, 1.66164451893, 1e-9);
  EXPECT_FALSE(c->Explained());
}

TEST(Consistency, ValuesThatAgreeNeedNothingBeyond) {
  const std::vector<StatedValue> v{{10.0, 1.0}, {10.5, 1.0}, {9.8, 1.0}};
  const auto c = TestConsistency(v);
  ASSERT_TRUE(c.has_value());
  EXPECT_TRUE(c->Explained());
  EXPECT_EQ(c->beyond, 0.0);
  EXPECT_LT(c->birge_ratio, 1.0);
}

TEST(Consistency, NeedsTwoValuesWithUncertainty) {
  EXPECT_FALSE(TestConsistency(std::vector<StatedValue>{{1.0, 1.0}}));
  EXPECT_FALSE(
      TestConsistency(std::vector<StatedValue>{{1.0, 1.0}, {2.0, 0.0}}));
}

}  // namespace
}  // namespace masseter
