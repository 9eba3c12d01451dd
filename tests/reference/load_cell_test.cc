// The load cell of NIST/SEMATECH's e-Handbook of Statistical Methods, 4.6.1
// (Pontius's data): covariance, lack of fit, bands and back-calculation.
// Expected values: computed in 120 digits (mpmath 1.2.1) from the data; the
// bands also by R 4.2.2 predict.lm. Tolerances leave the data's rounding to
// double (1e-16, magnified up to 1e4) and the t quantile's last digits.
#include "core/metrology/polynomial_fit.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::Column;
using reference::ReadTable;
using reference::WorstDigits;

class LoadCell : public ::testing::Test {
 protected:
  LoadCell() {
    const auto t = ReadTable("nist_pontius.csv");
    x_ = t.at("x_load");
    y_ = t.at("y_deflection");
    quadratic_ = FitPolynomial(x_, y_, 2).value();
  }
  Column x_;
  Column y_;
  PolynomialFit quadratic_;
};

TEST_F(LoadCell, CovarianceAgreesWith120DigitArithmetic) {
  const double expected[3][3] = {
      {1.1650743967627105e-08, -1.514042797694806e-14, 4.103097012723051e-21},
      {-1.514042797694806e-14, 2.4906331736970834e-20, -7.460176386769185e-27},
      {4.103097012723051e-21, -7.460176386769185e-27, 2.3683099640537093e-33}};
  Column got;
  Column want;
  for (int i = 0; i < 3; ++i) {
    for (int j = 0; j < 3; ++j) {
      got.push_back(quadratic_.covariance()(i, j));
      want.push_back(expected[i][j]);
    }
  }
  EXPECT_GE(WorstDigits("Pontius covariance", got, want), 11.0);
}

TEST_F(LoadCell, ALineDoesNotFitButAQuadraticDoes) {
  const auto line = FitPolynomial(x_, y_, 1);
  ASSERT_TRUE(line.has_value());
  EXPECT_GE(WorstDigits("line coefficients", line->coeffs(),
                        Column{0.006149684210526316, 7.221025814536341e-07}),
            12.0);
  EXPECT_GE(WorstDigits("line standard errors", line->standard_errors(),
                        Column{0.0007132051674656124, 3.9691478040442475e-10}),
            12.0);
  const auto of_line = TestLackOfFit(*line, x_, y_);
  ASSERT_TRUE(of_line.has_value());
  // The handbook prints F = 214.7464; exact arithmetic gives 214.7469.
  EXPECT_NEAR(of_line->f, 214.74692365390877, 1e-8);
  EXPECT_NEAR(of_line->p, 5.503717381784957e-19, 1e-27);
  EXPECT_EQ(of_line->lack_dof, 18);
  EXPECT_EQ(of_line->pure_dof, 20);
  EXPECT_NEAR(of_line->pure_ss, 9.2215e-07, 1e-17);

  const auto of_quadratic = TestLackOfFit(quadratic_, x_, y_);
  ASSERT_TRUE(of_quadratic.has_value());
  EXPECT_NEAR(of_quadratic->f, 0.8107239003096023, 1e-10);
  EXPECT_NEAR(of_quadratic->p, 0.666172944808458, 1e-10);
  EXPECT_EQ(of_quadratic->lack_dof, 17);
}

TEST_F(LoadCell, BandsAgreeWithPredictLm) {
  const Column at = {0, 150000, 1000000, 1705106, 3000000};
  const Column value = {0.0006735657894736842, 0.11041132142857144,
                        0.7295719074770259, 1.2397223109786706,
                        2.1684036785714285};
  const Column error = {0.00010793861203307695, 8.834302559062417e-05,
                        4.393598714793219e-05, 4.8399110020196263e-05,
                        8.834302559062417e-05};
  const Column prediction = {0.00023183726904483156, 0.00022338814991186123,
                             0.00020982885005928467, 0.00021080856055029067,
                             0.00022338814991186123};
  const Column ci = {0.00021870440217124364, 0.00017899997261291043,
                     8.902276601488401e-05, 9.806591194023831e-05,
                     0.00017899997261291043};
  const Column pi = {0.0004697469271878895, 0.00045262738568143,
                     0.0004251536345161877, 0.0004271387165290146,
                     0.00045262738568143};
  for (std::size_t i = 0; i < at.size(); ++i) {
    EXPECT_NEAR(quadratic_.Value(at[i]), value[i], 1e-12 * value.back());
    EXPECT_NEAR(quadratic_.StandardError(at[i]), error[i], 1e-10 * error[i]);
    EXPECT_NEAR(quadratic_.PredictionError(at[i]), prediction[i],
                1e-10 * prediction[i]);
    const Interval c = quadratic_.ConfidenceBand(at[i], 0.95);
    EXPECT_NEAR(0.5 * (c.upper - c.lower), ci[i], 1e-10 * ci[i]);
    const Interval p = quadratic_.PredictionBand(at[i], 0.95);
    EXPECT_NEAR(0.5 * (p.upper - p.lower), pi[i], 1e-10 * pi[i]);
  }
}

TEST_F(LoadCell, ANewReadingGivesTheHandbooksLoad) {
  // e-Handbook 4.6.1.8: deflection 1.239722 means a load of 1 705 106, with
  // 95 % limits 1 704 513 and 1 705 698.
  const auto load = quadratic_.InverseWithBand(1.239722, 0.0, 3e6, 0.95);
  ASSERT_TRUE(load.has_value()) << load.error().Text();
  EXPECT_NEAR(load->x, 1705106, 1.0);
  EXPECT_NEAR(load->band.lower, 1704513, 1.0);
  EXPECT_NEAR(load->band.upper, 1705698, 1.0);
  // In full: 120-digit arithmetic.
  EXPECT_NEAR(load->x, 1705105.5688517254, 1e-6);
  EXPECT_NEAR(load->band.lower, 1704513.372937457, 1e-5);
  EXPECT_NEAR(load->band.upper, 1705697.763616518, 1e-5);
  EXPECT_NEAR(load->standard_uncertainty, 292.27003592770524, 1e-7);
}

}  // namespace
}  // namespace masseter
