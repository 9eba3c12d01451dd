#include "core/metrology/polynomial_fit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace masseter {
namespace {

using Values = std::vector<double>;

TEST(PolynomialFit, ValueAndSlopeFollowTheCoefficients) {
  const Values x = {0, 1, 2, 3, 5, 8};
  const Values y = {1.1, 3.2, 6.8, 13.1, 31.2, 73.0};
  for (const bool through_zero : {false, true}) {
    const auto fit =
        FitPolynomial(x, y, 3, {.through_zero = through_zero, .weights = {}});
    ASSERT_TRUE(fit.has_value());
    const Values& b = fit->coeffs();
    ASSERT_EQ(b.size(), 4U);
    for (const double at : {-1.0, 0.0, 2.5, 9.0}) {
      EXPECT_NEAR(fit->Value(at), b[0] + at * (b[1] + at * (b[2] + at * b[3])),
                  1e-12);
      EXPECT_NEAR(fit->Slope(at), b[1] + at * (2 * b[2] + at * 3 * b[3]),
                  1e-12);
    }
    EXPECT_EQ(fit->dof(), through_zero ? 3 : 2);
  }
}

TEST(PolynomialFit, ErrorOfTheCurveIsThatOfItsCovariance) {
  const Values x = {1, 2, 3, 4, 5, 6};
  const Values y = {2.1, 3.9, 6.2, 7.8, 10.1, 12.2};
  const auto fit = FitPolynomial(x, y, 1);
  ASSERT_TRUE(fit.has_value());
  const auto& c = fit->covariance();
  const double at = 2.25;
  EXPECT_NEAR(fit->StandardError(at),
              std::sqrt(c(0, 0) + 2 * at * c(0, 1) + at * at * c(1, 1)), 1e-14);
  EXPECT_DOUBLE_EQ(fit->StandardError(0.0), fit->standard_errors()[0]);
}

TEST(PolynomialFit, AWeightOfTwoIsTheSamePointTwice) {
  const Values x = {1, 2, 3, 4};
  const Values y = {1.0, 2.2, 2.9, 4.3};
  const Values weights = {1, 1, 1, 2};
  const auto weighted = FitPolynomial(x, y, 1, {false, weights});
  const auto repeated =
      FitPolynomial(Values{1, 2, 3, 4, 4}, Values{1.0, 2.2, 2.9, 4.3, 4.3}, 1);
  ASSERT_TRUE(weighted.has_value() && repeated.has_value());
  EXPECT_DOUBLE_EQ(weighted->coeffs()[0], repeated->coeffs()[0]);
  EXPECT_DOUBLE_EQ(weighted->coeffs()[1], repeated->coeffs()[1]);
  EXPECT_DOUBLE_EQ(weighted->residual_ss(), repeated->residual_ss());
}

TEST(PolynomialFit, InverseUndoesValueOnRisingAndFallingCurves) {
  const Values x = {0, 10, 20, 30, 40};
  for (const double sign : {1.0, -1.0}) {
    Values y;
    for (const double v : x) y.push_back(sign * (1.0 + v + 0.01 * v * v));
    const auto fit = FitPolynomial(x, y, 2);
    ASSERT_TRUE(fit.has_value());
    for (const double at : {0.0, 3.7, 25.0, 40.0}) {
      const auto back = fit->Inverse(fit->Value(at), 0.0, 40.0);
      ASSERT_TRUE(back.has_value());
      EXPECT_NEAR(*back, at, 1e-12);
    }
  }
}

TEST(PolynomialFit, InverseSaysWhichReadingsTheCurveCovers) {
  const auto fit = FitPolynomial(Values{0, 1, 2}, Values{0, 10, 20}, 1);
  ASSERT_TRUE(fit.has_value());
  const auto load = fit->Inverse(25.5, 0.0, 2.0);
  ASSERT_FALSE(load.has_value());
  EXPECT_EQ(load.error().what,
            "the reading 25.5 lies outside the curve's range, 0 to 20");
}

TEST(PolynomialFit, BandOfALoadHoldsItOnAFallingCurveToo) {
  const Values x = {0, 1, 2, 3, 4, 5};
  const Values y = {10.1, 7.9, 6.1, 3.9, 2.1, -0.1};
  const auto fit = FitPolynomial(x, y, 1);
  ASSERT_TRUE(fit.has_value());
  const auto load = fit->InverseWithBand(5.0, 0.0, 5.0, 0.95);
  ASSERT_TRUE(load.has_value());
  EXPECT_LT(load->band.lower, load->x);
  EXPECT_GT(load->band.upper, load->x);
  const Interval at_lower = fit->PredictionBand(load->band.lower, 0.95);
  EXPECT_NEAR(at_lower.lower, 5.0, 1e-9);
  const Interval at_upper = fit->PredictionBand(load->band.upper, 0.95);
  EXPECT_NEAR(at_upper.upper, 5.0, 1e-9);
}

TEST(PolynomialFit, SaysHowManyLoadsAnOrderNeeds) {
  const auto fit = FitPolynomial(Values{5, 5, 9, 9}, Values{1, 1, 2, 2}, 2);
  ASSERT_FALSE(fit.has_value());
  EXPECT_EQ(fit.error().what,
            "a curve of order 2 needs 3 different loads, there are 2");
  const auto zero = FitPolynomial(Values{0, 0, 9}, Values{0, 0, 2}, 2,
                                  {.through_zero = true, .weights = {}});
  ASSERT_FALSE(zero.has_value());
  EXPECT_EQ(zero.error().what,
            "a curve of order 2 needs 2 different loads besides zero, there "
            "are 1");
}

TEST(PolynomialFit, LackOfFitNeedsRepeatedLoadsThatScatter) {
  const Values x = {1, 2, 3, 4};
  const auto once = FitPolynomial(x, Values{1, 2, 3, 4.1}, 1);
  EXPECT_FALSE(TestLackOfFit(*once, x, Values{1, 2, 3, 4.1}).has_value());
  const Values same = {1, 1, 2, 2, 3, 3};
  const Values exact = {1, 1, 2, 2, 3.5, 3.5};
  const auto twice = FitPolynomial(same, exact, 1);
  EXPECT_FALSE(TestLackOfFit(*twice, same, exact).has_value());
}

}  // namespace
}  // namespace masseter
