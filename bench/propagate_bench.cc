// A million draws of a bite's budget on one core (JCGM 101).
#include <benchmark/benchmark.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <limits>
#include <vector>

#include "core/metrology/student_t.h"
#include "core/trust/propagate.h"

namespace masseter {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

// The lines of a bite of 743 N: docs/method.md section 4.
std::vector<BudgetLine> Lines() {
  return {{"calibration", 2.4, kInfinity, "normal"},
          {"range", 0.3, kInfinity, "normal"},
          {"friction", 0.4, kInfinity, "normal"},
          {"creep", 2.1, kInfinity, "rectangular"},
          {"zero", 0.7, kInfinity, "rectangular"},
          {"noise", 0.3, kInfinity, "normal"},
          {"crest", 0.2, kInfinity, "rectangular"},
          {"sampling", 0.9, kInfinity, "one-sided"},
          {"bandwidth", 0.6, kInfinity, "one-sided"},
          {"dynamics", 0.5, kInfinity, "rectangular"}};
}

// Enough degrees of freedom for Welch-Satterthwaite to hold.
std::vector<BudgetLine> StudentLines() {
  return {{"a", 0.25, 50.0, "normal"},
          {"b", 0.57, 60.0, "normal"},
          {"c", 0.82, 80.0, "normal"}};
}

PropagationOptions AllDraws() {
  PropagationOptions options;
  options.digits = 9;
  return options;
}

double Expanded(const std::vector<BudgetLine>& lines) {
  std::vector<UncertaintyTerm> terms;
  for (const BudgetLine& l : lines) {
    terms.push_back({l.standard_uncertainty_n, l.degrees_of_freedom});
  }
  const CombinedUncertainty u = CombineUncertainties(terms);
  return CoverageFactor(0.95, u.dof) * u.standard_uncertainty;
}

// The answer first: within JCGM 101's numerical tolerance of the analytic one
// where both hold.
void Check() {
  std::vector<BudgetLine> normal = Lines();
  for (BudgetLine& l : normal) l.distribution = "normal";
  for (const auto& lines : {normal, StudentLines()}) {
    const Propagation p = Propagate(TermsOf(lines), AllDraws());
    const double u95 = Expanded(lines);
    const double tolerance = NumericalTolerance(p.u, 2);
    if (std::abs(p.high - u95) > tolerance ||
        std::abs(p.low + u95) > tolerance) {
      std::fprintf(stderr, "propagate_bench: %g to %g, not +-%g within %g\n",
                   p.low, p.high, u95, tolerance);
      std::exit(1);
    }
  }
}

void BM_MillionDrawsOfABudget(benchmark::State& state) {
  const auto terms = TermsOf(Lines());
  for (auto _ : state) {
    const Propagation p = Propagate(terms, AllDraws());
    benchmark::DoNotOptimize(p.high);
  }
  state.SetItemsProcessed(state.iterations() * 1000000);
}
BENCHMARK(BM_MillionDrawsOfABudget)->Unit(benchmark::kMillisecond);

void BM_UntilTheToleranceIsReached(benchmark::State& state) {
  const auto terms = TermsOf(Lines());
  for (auto _ : state) {
    const Propagation p = Propagate(terms, {});
    benchmark::DoNotOptimize(p.high);
  }
}
BENCHMARK(BM_UntilTheToleranceIsReached)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace masseter

int main(int argc, char** argv) {
  masseter::Check();
  benchmark::Initialize(&argc, argv);
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
