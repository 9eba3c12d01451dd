#include "core/metrology/reference_force.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "core/metrology/gravity.h"
#include "core/metrology/student_t.h"

namespace masseter {
namespace {

TEST(Gravity, RefusesAPlaceThatIsNotOnEarth) {
  EXPECT_FALSE(NormalGravity(90.1, 0).has_value());
  EXPECT_FALSE(NormalGravity(52, 12000).has_value());
  EXPECT_FALSE(NormalGravity(std::nan(""), 0).has_value());
  EXPECT_TRUE(NormalGravity(-90, -400).has_value());
}

TEST(ReferenceForce, RefusesAWeightThatWouldFloat) {
  const Density balsa(1.1);
  EXPECT_FALSE(DeadWeightForce(Mass(1), kStandardGravity, Density(1.2), balsa));
  EXPECT_FALSE(
      ConventionalMassForce(Mass(1), kStandardGravity, Density(1.2), balsa));
  EXPECT_FALSE(DeadWeightForce(Mass(-1), kStandardGravity).has_value());
  EXPECT_FALSE(DeadWeightForce(Mass(1), Acceleration(0)).has_value());
}

TEST(ReferenceForce, NoMassIsNoForceAndNoAirIsNoBuoyancy) {
  EXPECT_EQ(DeadWeightForce(Mass(0), kStandardGravity)->si(), 0.0);
  EXPECT_DOUBLE_EQ(DeadWeightForce(Mass(2), kStandardGravity, Density(0))->si(),
                   2 * 9.80665);
}

TEST(AirDensity, RefusesPercentForHumidityAndHectopascalForPascal) {
  EXPECT_FALSE(AirDensity({20, Pressure(101325), 50, 0.0004}).has_value());
  EXPECT_FALSE(AirDensity({20, Pressure(1013.25), 0.5, 0.0004}).has_value());
  EXPECT_FALSE(AirDensitySimplified({-5, Pressure(101325), 0.5, 0.0004}));
}

TEST(StudentT, OutsideItsDomainThereIsNoNumber) {
  EXPECT_TRUE(std::isnan(StudentTQuantile(0.0, 5)));
  EXPECT_TRUE(std::isnan(StudentTQuantile(0.9, 0.0)));
  EXPECT_TRUE(std::isnan(CoverageFactor(1.0, 5)));
  EXPECT_TRUE(std::isnan(ChiSquaredQuantile(0.5, -1)));
  EXPECT_TRUE(std::isnan(FQuantile(0.5, 1, std::nan(""))));
}

TEST(StudentT, InfiniteDegreesOfFreedomMeanTheLimit) {
  constexpr double kInfinity = std::numeric_limits<double>::infinity();
  EXPECT_DOUBLE_EQ(StudentTQuantile(0.9, kInfinity), NormalQuantile(0.9));
  EXPECT_NEAR(FQuantile(0.9, 4, kInfinity), FQuantile(0.9, 4, 1e9), 1e-7);
  EXPECT_NEAR(FQuantile(0.9, kInfinity, 4), FQuantile(0.9, 1e9, 4), 1e-7);
  EXPECT_NEAR(FUpperTail(2, kInfinity, 4), FUpperTail(2, 1e9, 4), 1e-7);
}

TEST(StudentT, TailsUndoQuantiles) {
  for (const double p : {1e-6, 0.05, 0.5, 0.95, 0.999}) {
    EXPECT_NEAR(StudentTCdf(StudentTQuantile(p, 7), 7), p, 1e-13);
    EXPECT_NEAR(ChiSquaredCdf(ChiSquaredQuantile(p, 7), 7), p, 1e-13);
    EXPECT_NEAR(ChiSquaredUpperTail(ChiSquaredQuantile(p, 7), 7), 1 - p, 1e-13);
    EXPECT_NEAR(FUpperTail(FQuantile(p, 3, 7), 3, 7), 1 - p, 1e-13);
    EXPECT_NEAR(NormalCdf(NormalQuantile(p)), p, 1e-14);
  }
}

TEST(CombineUncertainties, TermsKnownExactlyAddNoDoubtAboutTheSum) {
  constexpr double kInfinity = std::numeric_limits<double>::infinity();
  const UncertaintyTerm exact[] = {{3.0, kInfinity}, {4.0, kInfinity}};
  EXPECT_DOUBLE_EQ(CombineUncertainties(exact).standard_uncertainty, 5.0);
  EXPECT_TRUE(std::isinf(CombineUncertainties(exact).dof));
  EXPECT_TRUE(std::isinf(CombineUncertainties({}).dof));
  const UncertaintyTerm one[] = {{1e-200, 4.0}};
  EXPECT_DOUBLE_EQ(CombineUncertainties(one).dof, 4.0);
}

}  // namespace
}  // namespace masseter
