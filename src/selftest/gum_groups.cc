// Expected values in full are recomputed from the examples' data (Python 3.11,
// SciPy 1.10.1); they round to what the documents print.
#include <cmath>
#include <limits>

#include "core/base/random_draws.h"
#include "core/metrology/polynomial_fit.h"
#include "core/metrology/student_t.h"
#include "core/metrology/type_b.h"
#include "core/trust/propagate.h"
#include "selftest/certified_data.h"
#include "selftest/groups.h"

namespace masseter::selftest {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

void AddExampleG41(CheckedGroup& group) {
  // Y = b X1 X2 X3 from 10, 5 and 15 readings; relative uncertainties in %.
  const UncertaintyTerm terms[] = {{0.25, 9}, {0.57, 4}, {0.82, 14}};
  const CombinedUncertainty c = CombineUncertainties(terms);
  // Printed 1.03 and 19.0.
  group.lines.push_back({"G.4.1 Welch–Satterthwaite: u_c and ν_eff",
                         {c.standard_uncertainty, c.dof},
                         {1.0294658809304948, 18.998742314267954},
                         12});
}

void AddExampleH1(CheckedGroup& group) {
  // Table H.1, nanometres; contributions as recomputed without rounding.
  const UncertaintyTerm d[] = {{5.8, 24}, {3.9, 5}, {6.7, 8}};
  const CombinedUncertainty difference = CombineUncertainties(d);
  const UncertaintyTerm all[] = {
      {25.0, 18},
      {difference.standard_uncertainty, difference.dof},
      {2.886751345948129, 50},
      {16.598820239201743, 2}};
  const CombinedUncertainty c = CombineUncertainties(all);
  group.lines.push_back({"H.1 end gauge: u and ν of the difference",
                         {difference.standard_uncertainty, difference.dof},
                         {9.681941953967707, 25.447250777362726},
                         12});
  // Printed 32 and 16.7; five digits of ν_eff are the rounding of the inputs.
  group.lines.push_back({"H.1 end gauge: u_c and ν_eff",
                         {c.standard_uncertainty, c.dof},
                         {31.663767411138345, 16.752147509190177},
                         5});
}

void AddExampleH3(CheckedGroup& group) {
  const Table t = CertifiedTable("gum_h3_thermometer.csv");
  Column x;
  for (const double v : t.at("t_k_degC")) x.push_back(v - 20.0);
  const auto fit = FitPolynomial(x, t.at("b_k_degC"), 1);
  Column got;
  if (fit) {
    const auto& cov = fit->covariance();
    got = {fit->coeffs()[0],
           fit->coeffs()[1],
           fit->standard_errors()[0],
           fit->standard_errors()[1],
           cov(0, 1) / std::sqrt(cov(0, 0) * cov(1, 1)),
           fit->residual_sd(),
           fit->Value(10.0),
           fit->StandardError(10.0)};
  }
  // Printed -0.1712, 0.00218, 0.0029, 0.00067, -0.930, 0.0035, -0.1494 and
  // 0.0041; t - 20 loses the last three digits of a double.
  group.lines.push_back(
      {"H.3 thermometer: line, uncertainties, correlation, value at 30 °C",
       std::move(got),
       {-0.17120379013134987, 0.0021826977398872512, 0.0028775978351599594,
        0.0006679387732278331, -0.9304296030934459, 0.0034975639635052903,
        -0.14937681273247735, 0.004138595752854956},
       10});
}

void AddCoverageFactors(CheckedGroup& group) {
  const Table t = CertifiedTable("gum_table_g2_t.csv");
  const std::pair<const char*, double> columns[] = {
      {"p68.27", 0.6827}, {"p90", 0.90}, {"p95", 0.95},
      {"p95.45", 0.9545}, {"p99", 0.99}, {"p99.73", 0.9973}};
  // SciPy's root finder stops at about 5e-9.
  CheckedLine line{"Table G.2: t for six coverage probabilities", {}, {}, 8};
  for (const auto& [name, level] : columns) {
    for (std::size_t i = 0; i < t.at("nu").size(); ++i) {
      line.values.push_back(CoverageFactor(level, t.at("nu")[i]));
      line.expected.push_back(t.at(name)[i]);
    }
  }
  group.lines.push_back(std::move(line));
  group.lines.push_back(
      {"Table G.2: infinite degrees of freedom, 95 % and 99 %",
       {CoverageFactor(0.95, kInfinity), CoverageFactor(0.99, kInfinity)},
       {1.959963984540054, 2.5758293035489004},
       13});
}

// 9.3, a mass standard in air, which is not linear:
//   dm = (m_Rc + dm_Rc) (1 + (rho_a - 1.2) (1/rho_W - 1/rho_R)) - m_nom,
// mg and kg/m3. Printed by Monte Carlo: 1.2341, 0.0754; exact by quadrature.
CheckedLine MassStandard() {
  RandomStream random(9);
  const auto even = [&random](double low, double high) {
    return low + (high - low) * random.Uniform();
  };
  std::vector<double> dm(1000000);
  double sum = 0.0;
  for (double& y : dm) {
    const double offset =
        0.050 * random.Normal() + 1.234 + 0.020 * random.Normal();
    const double air = even(1.10, 1.30) - 1.2;
    const double weight = even(7000.0, 9000.0);
    const double reference = even(7950.0, 8050.0);
    y = offset + (100000.0 + offset) * air * (1.0 / weight - 1.0 / reference);
    sum += y;
  }
  const double n = static_cast<double>(dm.size());
  double squares = 0.0;
  for (const double y : dm) squares += (y - sum / n) * (y - sum / n);
  const CoverageEnds ends = CoverageOf(dm, 0.95, IntervalKind::kSymmetric);
  return {"9.3 a mass standard in air: mean, u, interval",
          {sum / n, std::sqrt(squares / (n - 1.0)), ends.low, ends.high},
          {1.2340, 0.07547974, 1.0844333, 1.3835668},
          2};
}

// Exact: closed form, Irwin-Hall, inclusion-exclusion. The document
// prints 3.92, 3.88 and 17.0. Four standard errors of an end at 10^6 draws are
// 0.6 %.
CheckedGroup MonteCarlo() {
  using Shape = TermShape;
  struct Example {
    const char* what;
    Shape shape;
    double last_u;
    Column expected;
  };
  const Example examples[] = {
      {"9.2.2 four normals", Shape::kNormal, 1.0, {2.0, -3.919928, 3.919928}},
      {"9.2.3 four rectangulars",
       Shape::kRectangular,
       1.0,
       {2.0, -3.879407, 3.879407}},
      {"9.2.4 a dominant rectangular",
       Shape::kRectangular,
       10.0,
       {10.148892, -17.015814, 17.015814}}};
  CheckedGroup group{
      "Monte Carlo",
      "JCGM 101:2008, 9.2 and 9.3, by a million draws: u and the "
      "95 % interval.",
      {}};
  PropagationOptions options;
  options.digits = 9;  // never settles: all draws are drawn
  for (const Example& e : examples) {
    std::vector<DrawnTerm> terms(4, {e.shape, 1.0, 0.0});
    terms.back().u = e.last_u;
    const Propagation p = Propagate(terms, options);
    group.lines.push_back({e.what, {p.u, p.low, p.high}, e.expected, 2});
  }
  group.lines.push_back(MassStandard());
  return group;
}

}  // namespace

void AddGum(Groups& out) {
  CheckedGroup group{
      "Uncertainty", "JCGM 100:2008 (GUM), worked examples and tables.", {}};
  AddExampleG41(group);
  AddExampleH1(group);
  AddExampleH3(group);
  AddCoverageFactors(group);
  // JCGM 100:2008 4.3.4, 4.3.7, 4.3.9; JCGM 101:2008 6.4.
  group.lines.push_back(
      {"type B: rectangular, triangular, arcsine, trapezoidal, resolution",
       {RectangularSd(1.0), TriangularSd(1.0), ArcsineSd(1.0),
        TrapezoidalSd(1.0, 0.5), ResolutionSd(1.0)},
       {0.5773502691896258, 0.4082482904638631, 0.7071067811865475,
        0.45643546458763845, 0.2886751345948129},
       14});
  // Example H.5, printed 2.12 and 2.45; in full by SciPy, and back.
  group.lines.push_back({"H.5 critical F(9, 40), 5 % and 2.5 %, and its tail",
                         {FQuantile(0.95, 9, 40), FQuantile(0.975, 9, 40),
                          FUpperTail(2.124029264016696, 9, 40)},
                         {2.124029264016696, 2.4519392170299263, 0.05},
                         12});
  out.push_back(std::move(group));
  out.push_back(MonteCarlo());
}

}  // namespace masseter::selftest
