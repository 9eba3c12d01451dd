// NIST Statistical Reference Datasets, linear regression: certified values
// (15 digits), scored by digits agreed. The least number of digits asked for
// is what the method should reach with the data rounded to double, less one
// digit for another compiler's libm.
#include <Eigen/Core>

#include "core/metrology/least_squares.h"
#include "core/metrology/polynomial_fit.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::Column;
using reference::Digits;
using reference::ReadTable;
using reference::WorstDigits;

struct Certified {
  Column coeffs;
  Column standard_errors;
  double residual_sd;
};

void ExpectCurve(const std::string& name, const Column& x, const Column& y,
                 const Certified& certified, double coeff_digits,
                 double error_digits) {
  const int order = static_cast<int>(certified.coeffs.size()) - 1;
  const auto fit = FitPolynomial(x, y, order);
  ASSERT_TRUE(fit.has_value()) << fit.error().Text();
  EXPECT_GE(
      WorstDigits(name + " coefficients", fit->coeffs(), certified.coeffs),
      coeff_digits);
  EXPECT_GE(WorstDigits(name + " standard errors", fit->standard_errors(),
                        certified.standard_errors),
            error_digits);
  EXPECT_GE(WorstDigits(name + " residual sd", fit->residual_sd(),
                        certified.residual_sd),
            error_digits);
}

// The same set through the general solver, on plain powers of x.
void ExpectPowers(const std::string& name, const Column& x, const Column& y,
                  const Certified& certified, double coeff_digits,
                  double error_digits) {
  const auto n = static_cast<Eigen::Index>(x.size());
  const auto p = static_cast<Eigen::Index>(certified.coeffs.size());
  Eigen::MatrixXd X(n, p);
  X.col(0).setOnes();
  const Eigen::VectorXd xs = Eigen::VectorXd::Map(x.data(), n);
  for (Eigen::Index j = 1; j < p; ++j) {
    X.col(j) = X.col(j - 1).cwiseProduct(xs);
  }
  const auto fit = SolveLeastSquares(X, Eigen::VectorXd::Map(y.data(), n));
  ASSERT_TRUE(fit.has_value()) << fit.error().Text();
  EXPECT_EQ(fit->rank, p);
  EXPECT_EQ(fit->dof, n - p);
  const Column coeffs(fit->coeffs.begin(), fit->coeffs.end());
  Column errors;
  for (Eigen::Index j = 0; j < p; ++j) {
    errors.push_back(std::sqrt(fit->covariance(j, j)));
  }
  EXPECT_GE(
      WorstDigits(name + " by QR, coefficients", coeffs, certified.coeffs),
      coeff_digits);
  EXPECT_GE(WorstDigits(name + " by QR, standard errors", errors,
                        certified.standard_errors),
            error_digits);
  EXPECT_GE(WorstDigits(name + " by QR, residual sd", fit->residual_sd,
                        certified.residual_sd),
            error_digits);
}

// NIST StRD, Pontius: lower difficulty, 40 observations, quadratic.
const Certified kPontius = {
    {0.673565789473684E-03, 0.732059160401003E-06, -0.316081871345029E-14},
    {0.107938612033077E-03, 0.157817399981659E-09, 0.486652849992036E-16},
    0.205177424076185E-03};

TEST(CertifiedFits, PontiusLoadCell) {
  const auto t = ReadTable("nist_pontius.csv");
  ExpectCurve("Pontius", t.at("x_load"), t.at("y_deflection"), kPontius, 12.0,
              11.0);
  ExpectPowers("Pontius", t.at("x_load"), t.at("y_deflection"), kPontius, 11.0,
               10.0);
}

TEST(CertifiedFits, NorrisStraightLine) {
  const Certified norris = {{-0.262323073774029, 1.00211681802045},
                            {0.232818234301152, 0.429796848199937E-03},
                            0.884796396144373};
  const auto t = ReadTable("nist_norris.csv");
  ExpectCurve("Norris", t.at("x"), t.at("y"), norris, 12.0, 12.0);
  ExpectPowers("Norris", t.at("x"), t.at("y"), norris, 12.0, 12.0);
}

TEST(CertifiedFits, LongleyWithSixNearlyDependentColumns) {
  const Certified longley = {
      {-3482258.63459582, 15.0618722713733, -0.358191792925910E-01,
       -2.02022980381683, -1.03322686717359, -0.511041056535807E-01,
       1829.15146461355},
      {890420.383607373, 84.9149257747669, 0.334910077722432E-01,
       0.488399681651699, 0.214274163161675, 0.226073200069370,
       455.478499142212},
      304.854073561965};
  const auto t = ReadTable("nist_longley.csv");
  const auto n = static_cast<Eigen::Index>(t.at("y").size());
  Eigen::MatrixXd X(n, 7);
  X.col(0).setOnes();
  for (int j = 1; j < 7; ++j) {
    X.col(j) = Eigen::VectorXd::Map(t.at("x" + std::to_string(j)).data(), n);
  }
  const auto fit =
      SolveLeastSquares(X, Eigen::VectorXd::Map(t.at("y").data(), n));
  ASSERT_TRUE(fit.has_value()) << fit.error().Text();
  const Column coeffs(fit->coeffs.begin(), fit->coeffs.end());
  Column errors;
  for (int j = 0; j < 7; ++j) {
    errors.push_back(std::sqrt(fit->covariance(j, j)));
  }
  EXPECT_GE(WorstDigits("Longley by QR, coefficients", coeffs, longley.coeffs),
            12.0);
  // (X'X)^-1 is not refined: its digits are 16 less the condition, about 4.5.
  EXPECT_GE(WorstDigits("Longley by QR, standard errors", errors,
                        longley.standard_errors),
            10.0);
  EXPECT_GE(WorstDigits("Longley by QR, residual sd", fit->residual_sd,
                        longley.residual_sd),
            12.0);
}

// Wampler1 to Wampler5: the same x, coefficients known exactly, noise growing
// until the signal is lost in it.
const Certified kWampler1 = {{1, 1, 1, 1, 1, 1}, {0, 0, 0, 0, 0, 0}, 0.0};
const Certified kWampler2 = {
    {1, 0.1, 0.01, 0.001, 0.0001, 0.00001}, {0, 0, 0, 0, 0, 0}, 0.0};
const Certified kWampler3 = {
    {1, 1, 1, 1, 1, 1},
    {2152.32624678170, 2363.55173469681, 779.343524331583, 101.475507550350,
     5.64566512170752, 0.112324854679312},
    2360.14502379268};
const Certified kWampler4 = {
    {1, 1, 1, 1, 1, 1},
    {215232.624678170, 236355.173469681, 77934.3524331583, 10147.5507550350,
     564.566512170752, 11.2324854679312},
    236014.502379268};
const Certified kWampler5 = {
    {1, 1, 1, 1, 1, 1},
    {21523262.4678170, 23635517.3469681, 7793435.24331583, 1014755.07550350,
     56456.6512170752, 1123.24854679312},
    23601450.2379268};

TEST(CertifiedFits, WamplerFifthDegree) {
  const auto t = ReadTable("nist_wampler.csv");
  const Column& x = t.at("x");
  ExpectCurve("Wampler1", x, t.at("y1"), kWampler1, 14.0, 9.0);
  ExpectCurve("Wampler2", x, t.at("y2"), kWampler2, 12.0, 12.0);
  ExpectCurve("Wampler3", x, t.at("y3"), kWampler3, 14.0, 14.0);
  ExpectCurve("Wampler4", x, t.at("y4"), kWampler4, 14.0, 14.0);
  ExpectCurve("Wampler5", x, t.at("y5"), kWampler5, 14.0, 14.0);
}

TEST(CertifiedFits, WamplerByTheGeneralSolver) {
  const auto t = ReadTable("nist_wampler.csv");
  const Column& x = t.at("x");
  ExpectPowers("Wampler1", x, t.at("y1"), kWampler1, 9.0, 7.0);
  ExpectPowers("Wampler2", x, t.at("y2"), kWampler2, 9.0, 9.0);
  ExpectPowers("Wampler3", x, t.at("y3"), kWampler3, 9.0, 10.0);
  ExpectPowers("Wampler4", x, t.at("y4"), kWampler4, 9.0, 10.0);
  ExpectPowers("Wampler5", x, t.at("y5"), kWampler5, 7.0, 10.0);
}

const Certified kFilip = {
    {-1467.48961422980, -2772.17959193342, -2316.37108160893, -1127.97394098372,
     -354.478233703349, -75.1242017393757, -10.8753180355343, -1.06221498588947,
     -0.670191154593408E-01, -0.246781078275479E-02, -0.402962525080404E-04},
    {298.084530995537, 559.779865474950, 466.477572127796, 227.204274477751,
     71.6478660875927, 15.2897178747400, 2.23691159816033, 0.221624321934227,
     0.142363763154724E-01, 0.535617408889821E-03, 0.896632837373868E-05},
    0.334801051324544E-02};

TEST(CertifiedFits, FilipTenthDegree) {
  const auto t = ReadTable("nist_filip.csv");
  ExpectCurve("Filip", t.at("x"), t.at("y"), kFilip, 12.0, 11.0);
}

TEST(CertifiedFits, FilipByTheGeneralSolver) {
  // The powers themselves are rounded to double before the solver sees them,
  // which the set's condition (about 1e9 with scaled columns) magnifies.
  const auto t = ReadTable("nist_filip.csv");
  ExpectPowers("Filip", t.at("x"), t.at("y"), kFilip, 6.0, 7.0);
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
