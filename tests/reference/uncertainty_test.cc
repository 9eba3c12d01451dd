// Worked examples and tables of the GUM (JCGM 100:2008). "Printed" values are
// the document's; full-precision ones are recomputed from its data (Python
// 3.11, SciPy 1.10.1).
#include <cmath>
#include <limits>
#include <numbers>

#include "core/metrology/polynomial_fit.h"
#include "core/metrology/student_t.h"
#include "core/metrology/type_b.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::ReadTable;

constexpr double kInfinity = std::numeric_limits<double>::infinity();

TEST(Gum, EffectiveDegreesOfFreedomOfExampleG41) {
  // Y = b X1 X2 X3 from 10, 5 and 15 readings; relative uncertainties in %.
  const UncertaintyTerm terms[] = {{0.25, 9}, {0.57, 4}, {0.82, 14}};
  const CombinedUncertainty c = CombineUncertainties(terms);
  EXPECT_NEAR(c.standard_uncertainty, 1.03, 0.005);  // printed
  EXPECT_NEAR(c.dof, 19.0, 0.05);                    // printed
  EXPECT_NEAR(c.standard_uncertainty, 1.0294658809304948, 1e-14);
  EXPECT_NEAR(c.dof, 18.998742314267954, 1e-11);
  EXPECT_NEAR(CoverageFactor(0.95, 19), 2.093024054408263, 1e-12);
  EXPECT_NEAR(c.standard_uncertainty * CoverageFactor(0.95, 19), 2.2, 0.05);
}

TEST(Gum, EffectiveDegreesOfFreedomOfEndGaugeH1) {
  // Table H.1, nanometres; contributions as recomputed without rounding.
  const UncertaintyTerm d[] = {{5.8, 24}, {3.9, 5}, {6.7, 8}};
  const CombinedUncertainty difference = CombineUncertainties(d);
  EXPECT_NEAR(difference.standard_uncertainty, 9.681941953967707, 1e-12);
  EXPECT_NEAR(difference.dof, 25.447250777362726, 1e-10);
  const UncertaintyTerm all[] = {
      {25.0, 18},
      {difference.standard_uncertainty, difference.dof},
      {2.886751345948129, 50},
      {16.598820239201743, 2}};
  const CombinedUncertainty c = CombineUncertainties(all);
  EXPECT_NEAR(c.standard_uncertainty, 31.663767411138345, 1e-11);
  EXPECT_NEAR(c.standard_uncertainty, 32.0, 0.5);  // printed
  EXPECT_NEAR(c.dof, 16.7, 0.1);                   // printed
  // The last 1e-4 is the rounding of the inputs above.
  EXPECT_NEAR(c.dof, 16.752147509190177, 1e-4);
  // Truncated to 16 as the example does, k = 2.92 and U = 93 nm are printed.
  EXPECT_NEAR(CoverageFactor(0.99, std::floor(c.dof)), 2.92, 0.005);
  EXPECT_NEAR(CoverageFactor(0.99, std::floor(c.dof)) * 32.0, 93.0, 0.5);
}

TEST(Gum, CoverageFactorsOfTableG2) {
  const auto t = ReadTable("gum_table_g2_t.csv");
  const std::pair<const char*, double> columns[] = {
      {"p68.27", 0.6827}, {"p90", 0.90}, {"p95", 0.95},
      {"p95.45", 0.9545}, {"p99", 0.99}, {"p99.73", 0.9973}};
  for (std::size_t i = 0; i < t.at("nu").size(); ++i) {
    for (const auto& [name, level] : columns) {
      const double k = t.at(name)[i];
      // SciPy's root finder stops at about 5e-9 (the test below is tighter).
      EXPECT_NEAR(CoverageFactor(level, t.at("nu")[i]), k, 1e-8 * k)
          << name << ", " << t.at("nu")[i] << " degrees of freedom";
    }
  }
  // Its last row, infinity: 1.960 and 2.576.
  EXPECT_NEAR(CoverageFactor(0.95, kInfinity), 1.959963984540054, 1e-14);
  EXPECT_NEAR(CoverageFactor(0.99, kInfinity), 2.5758293035489004, 1e-14);
}

TEST(StudentT, QuantilesAgreeWithTheirClosedForms) {
  // Shaw, J. Comput. Finance 9 (2006) 37: 1, 2 and 4 degrees of freedom.
  for (const double p : {0.501, 0.6, 0.75, 0.9, 0.975, 0.995, 0.9999}) {
    const double a = 4.0 * p * (1.0 - p);
    const double one = std::tan(std::numbers::pi * (p - 0.5));
    const double two = 2.0 * (p - 0.5) * std::sqrt(2.0 / a);
    const double q = std::cos(std::acos(std::sqrt(a)) / 3.0) / std::sqrt(a);
    const double four = 2.0 * std::sqrt(q - 1.0);
    // At p = 0.501 the closed form for 4 loses five digits in q - 1.
    EXPECT_NEAR(StudentTQuantile(p, 1), one, 1e-12 * one) << p;
    EXPECT_NEAR(StudentTQuantile(p, 2), two, 1e-12 * two) << p;
    EXPECT_NEAR(StudentTQuantile(p, 4), four, 1e-10 * four) << p;
    EXPECT_NEAR(StudentTQuantile(1.0 - p, 4), -four, 1e-10 * four) << p;
  }
}

TEST(Gum, ThermometerLineOfExampleH3) {
  const auto t = ReadTable("gum_h3_thermometer.csv");
  reference::Column x;
  for (const double v : t.at("t_k_degC")) x.push_back(v - 20.0);
  const auto fit = FitPolynomial(x, t.at("b_k_degC"), 1);
  ASSERT_TRUE(fit.has_value());
  const auto& cov = fit->covariance();
  const double correlation = cov(0, 1) / std::sqrt(cov(0, 0) * cov(1, 1));
  // Printed.
  EXPECT_NEAR(fit->coeffs()[0], -0.1712, 5e-5);
  EXPECT_NEAR(fit->coeffs()[1], 0.00218, 5e-6);
  EXPECT_NEAR(fit->standard_errors()[0], 0.0029, 5e-5);
  EXPECT_NEAR(fit->standard_errors()[1], 0.00067, 5e-6);
  EXPECT_NEAR(correlation, -0.930, 5e-4);
  EXPECT_NEAR(fit->Value(10.0), -0.1494, 5e-5);
  EXPECT_NEAR(fit->StandardError(10.0), 0.0041, 5e-5);
  EXPECT_EQ(fit->dof(), 9);
  // In full; t - 20 loses the last three digits of a double.
  EXPECT_NEAR(fit->coeffs()[0], -0.17120379013134987, 1e-13);
  EXPECT_NEAR(fit->coeffs()[1], 0.0021826977398872512, 1e-14);
  EXPECT_NEAR(fit->standard_errors()[0], 0.0028775978351599594, 1e-13);
  EXPECT_NEAR(fit->standard_errors()[1], 0.0006679387732278331, 1e-13);
  EXPECT_NEAR(correlation, -0.9304296030934459, 1e-11);
  EXPECT_NEAR(fit->residual_sd(), 0.0034975639635052903, 1e-13);
  EXPECT_NEAR(fit->Value(10.0), -0.14937681273247735, 1e-13);
  EXPECT_NEAR(fit->StandardError(10.0), 0.004138595752854956, 1e-13);
}

TEST(Gum, CriticalFOfExampleH5) {
  // J = 10 days, K = 5: F 0.95 and 0.975 with 9 and 40 degrees of freedom are
  // printed as 2.12 and 2.45; in full by SciPy.
  EXPECT_NEAR(FQuantile(0.95, 9, 40), 2.124029264016696, 1e-12);
  EXPECT_NEAR(FQuantile(0.975, 9, 40), 2.4519392170299263, 1e-12);
  EXPECT_NEAR(FUpperTail(2.124029264016696, 9, 40), 0.05, 1e-13);
}

TEST(Gum, StandardUncertaintiesOfTypeB) {
  // JCGM 100:2008 4.3.4, 4.3.7, 4.3.9; JCGM 101:2008 6.4; closed forms.
  EXPECT_NEAR(RectangularSd(1.0), 0.5773502691896258, 1e-15);
  EXPECT_NEAR(TriangularSd(1.0), 0.4082482904638631, 1e-15);
  EXPECT_NEAR(ArcsineSd(1.0), 0.7071067811865475, 1e-15);
  EXPECT_NEAR(TrapezoidalSd(1.0, 0.0), TriangularSd(1.0), 1e-15);
  EXPECT_NEAR(TrapezoidalSd(1.0, 0.5), 0.45643546458763845, 1e-15);
  EXPECT_NEAR(TrapezoidalSd(1.0, 1.0), RectangularSd(1.0), 1e-15);
  EXPECT_NEAR(ResolutionSd(1.0), 0.2886751345948129, 1e-15);
  EXPECT_NEAR(1.0 / CoverageFactor(0.95, kInfinity), 0.5102134569246539, 1e-14);
}

}  // namespace
}  // namespace masseter
