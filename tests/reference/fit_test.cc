// Least squares on sets of NIST's StRD beside those of the selftest.
#include <Eigen/Core>

#include "core/metrology/least_squares.h"
#include "core/metrology/polynomial_fit.h"
#include "selftest/certified_data.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::Column;
using reference::WorstDigits;

// Certified digits are held by the selftest's lines (selftest_test.cc).
TEST(CertifiedFits, TheGeneralSolverTellsRankAndDegreesOfFreedom) {
  const selftest::Table t = selftest::CertifiedTable("nist_longley.csv");
  const auto n = static_cast<Eigen::Index>(t.at("y").size());
  Eigen::MatrixXd X(n, 7);
  X.col(0).setOnes();
  for (int j = 1; j < 7; ++j) {
    X.col(j) = Eigen::VectorXd::Map(t.at("x" + std::to_string(j)).data(), n);
  }
  const auto fit =
      SolveLeastSquares(X, Eigen::VectorXd::Map(t.at("y").data(), n));
  ASSERT_TRUE(fit.has_value()) << fit.error().Text();
  EXPECT_EQ(fit->rank, 7);
  EXPECT_EQ(fit->dof, n - 7);
}

TEST(CertifiedFits, NoInt1LineThroughTheOrigin) {
  Column x;
  Column y;
  for (int i = 60; i <= 70; ++i) {
    x.push_back(i);
    y.push_back(i + 70);
  }
  const auto fit =
      FitPolynomial(x, y, 1, {.through_zero = true, .weights = {}});
  ASSERT_TRUE(fit.has_value()) << fit.error().Text();
  EXPECT_EQ(fit->coeffs()[0], 0.0);
  EXPECT_EQ(fit->standard_errors()[0], 0.0);
  EXPECT_GE(
      WorstDigits("NoInt1 coefficient", fit->coeffs()[1], 2.07438016528926),
      14.0);
  EXPECT_GE(WorstDigits("NoInt1 standard error", fit->standard_errors()[1],
                        0.165289256198347E-01),
            14.0);
  EXPECT_GE(
      WorstDigits("NoInt1 residual sd", fit->residual_sd(), 3.56753034006338),
      14.0);
}

}  // namespace
}  // namespace masseter
