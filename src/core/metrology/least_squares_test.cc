#include "core/metrology/least_squares.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace masseter {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

TEST(LeastSquares, RecoversCoefficientsOfExactData) {
  MatrixXd X(4, 2);
  X << 1, 1, 1, 2, 1, 3, 1, 4;
  const VectorXd y = X * VectorXd{{3.0, -2.0}};
  const auto fit = SolveLeastSquares(X, y);
  ASSERT_TRUE(fit.has_value());
  EXPECT_DOUBLE_EQ(fit->coeffs[0], 3.0);
  EXPECT_DOUBLE_EQ(fit->coeffs[1], -2.0);
  EXPECT_EQ(fit->dof, 2);
  EXPECT_EQ(fit->rank, 2);
}

TEST(LeastSquares, ColumnsOfVeryDifferentSizeLoseNoDigits) {
  MatrixXd X(5, 2);
  X << 1e150, 1e-150, 1e150, 2e-150, 1e150, 4e-150, 1e150, 5e-150, 1e150,
      9e-150;
  const VectorXd y = X * VectorXd{{2e-150, 3e150}};
  const auto fit = SolveLeastSquares(X, y);
  ASSERT_TRUE(fit.has_value()) << fit.error().Text();
  EXPECT_NEAR(fit->coeffs[0] * 1e150, 2.0, 1e-13);
  EXPECT_NEAR(fit->coeffs[1] * 1e-150, 3.0, 1e-13);
}

TEST(LeastSquares, AWeightOfTwoIsTheSameRowTwice) {
  MatrixXd X(4, 2);
  X << 1, 0, 1, 1, 1, 2, 1, 3;
  const VectorXd y{{1.0, 2.5, 2.0, 4.5}};
  MatrixXd twice(5, 2);
  twice << X, 1, 3;
  const VectorXd y_twice{{1.0, 2.5, 2.0, 4.5, 4.5}};
  const VectorXd weights{{1.0, 1.0, 1.0, 2.0}};
  const auto weighted = SolveLeastSquares(X, y, &weights);
  const auto repeated = SolveLeastSquares(twice, y_twice);
  ASSERT_TRUE(weighted.has_value() && repeated.has_value());
  EXPECT_TRUE(weighted->coeffs.isApprox(repeated->coeffs, 1e-14));
  EXPECT_TRUE(
      weighted->unit_covariance.isApprox(repeated->unit_covariance, 1e-13));
  EXPECT_EQ(weighted->dof, 2);  // but it is one row only
  EXPECT_EQ(repeated->dof, 3);
}

TEST(LeastSquares, ARowOfWeightZeroOnlyHasAResidual) {
  MatrixXd X(4, 1);
  X << 1, 1, 1, 1;
  const VectorXd y{{1.0, 2.0, 3.0, 100.0}};
  const VectorXd weights{{1.0, 1.0, 1.0, 0.0}};
  const auto fit = SolveLeastSquares(X, y, &weights);
  ASSERT_TRUE(fit.has_value());
  EXPECT_DOUBLE_EQ(fit->coeffs[0], 2.0);
  EXPECT_EQ(fit->dof, 2);
  EXPECT_DOUBLE_EQ(fit->residual_sd, 1.0);
  EXPECT_DOUBLE_EQ(fit->residuals[3], 98.0);
}

TEST(LeastSquares, RefusesDependentColumnsAndNamesOne) {
  MatrixXd X(4, 3);
  X << 1, 1, 2, 1, 2, 3, 1, 3, 4, 1, 4, 5;  // third = first + second
  const auto fit = SolveLeastSquares(X, VectorXd{{1.0, 2.0, 3.0, 4.0}});
  ASSERT_FALSE(fit.has_value());
  EXPECT_EQ(fit.error().kind, ErrorKind::kBadInput);
  EXPECT_NE(fit.error().what.find("is a combination of the others"),
            std::string::npos)
      << fit.error().what;
}

TEST(LeastSquares, MinimumNormSharesEquallyBetweenEqualColumns) {
  MatrixXd X(3, 2);
  X << 1, 1, 2, 2, 3, 3;
  const auto fit = SolveLeastSquares(X, VectorXd{{2.0, 4.0, 6.0}}, nullptr,
                                     RankRule::kMinimumNorm);
  ASSERT_TRUE(fit.has_value());
  EXPECT_EQ(fit->rank, 1);
  EXPECT_EQ(fit->dof, 2);
  EXPECT_NEAR(fit->coeffs[0], 1.0, 1e-14);
  EXPECT_NEAR(fit->coeffs[1], 1.0, 1e-14);
}

TEST(LeastSquares, WithNoDegreesOfFreedomTheScatterIsUnknown) {
  const auto fit =
      SolveLeastSquares(MatrixXd::Identity(2, 2), VectorXd{{1.0, 2.0}});
  ASSERT_TRUE(fit.has_value());
  EXPECT_EQ(fit->dof, 0);
  EXPECT_TRUE(std::isnan(fit->residual_sd));
  EXPECT_TRUE(std::isnan(fit->covariance(0, 0)));
  EXPECT_DOUBLE_EQ(fit->unit_covariance(0, 0), 1.0);
}

TEST(LeastSquares, RefusesInputThatMakesNoSense) {
  const MatrixXd X = MatrixXd::Ones(3, 1);
  const VectorXd y = VectorXd::Ones(3);
  const VectorXd negative{{1.0, -1.0, 1.0}};
  VectorXd nan = y;
  nan[1] = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(SolveLeastSquares(X, VectorXd::Ones(2)).has_value());
  EXPECT_FALSE(SolveLeastSquares(MatrixXd(3, 0), y).has_value());
  EXPECT_FALSE(SolveLeastSquares(X, y, &negative).has_value());
  EXPECT_FALSE(SolveLeastSquares(X, nan).has_value());
  EXPECT_FALSE(
      SolveLeastSquares(MatrixXd::Ones(1, 2), VectorXd::Ones(1)).has_value());
}

}  // namespace
}  // namespace masseter
