#include "core/metrology/curve_choice.h"

#include <cmath>
#include <set>
#include <string>

#include "core/metrology/polynomial_fit.h"
#include "core/metrology/student_t.h"

namespace masseter {
namespace {

constexpr double kSignificance = 0.01;

CurveChoice FromFit(const PolynomialFit& fit) {
  CurveChoice out;
  out.order = fit.order();
  out.curve.b = fit.coeffs();
  out.curve.se = fit.standard_errors();
  out.curve.residual_sd = fit.residual_sd();
  return out;
}

bool LastTermMatters(const PolynomialFit& fit) {
  if (fit.dof() < 3) return false;
  const auto k = static_cast<std::size_t>(fit.order());
  const double se = fit.standard_errors()[k];
  if (!(se > 0.0)) return false;
  const double t = std::abs(fit.coeffs()[k]) / se;
  return 2.0 * StudentTUpperTail(t, fit.dof()) < kSignificance;
}

}  // namespace

Expected<CurveChoice> ChooseCurve(const BenchSet& bench, CurveOrder order,
                                  bool zeroed) {
  std::vector<double> force;
  std::vector<double> signal;
  std::set<double> levels;
  for (const BenchLoad& load : bench.loads) {
    force.push_back(load.force_n);
    signal.push_back(load.v.front());
    levels.insert(load.force_n);
  }
  PolynomialOptions options;
  options.through_zero = zeroed;
  const int free_terms = zeroed ? 0 : 1;
  if (order != CurveOrder::kAuto) {
    const int k = static_cast<int>(order);
    if (static_cast<int>(levels.size()) < k + free_terms) {
      return BadInput("", "a curve of order " + std::to_string(k) + " needs " +
                              std::to_string(k + free_terms) +
                              " different loads; the readings have " +
                              std::to_string(levels.size()));
    }
    auto fit = FitPolynomial(force, signal, k, options);
    if (!fit) return tl::unexpected(fit.error());
    return FromFit(*fit);
  }
  auto best = FitPolynomial(force, signal, 1, options);
  if (!best) return tl::unexpected(best.error());
  for (int k = 2; k <= 3; ++k) {
    if (static_cast<int>(levels.size()) < k + 2) break;
    auto next = FitPolynomial(force, signal, k, options);
    if (!next || !LastTermMatters(*next)) break;
    best = std::move(next);
  }
  return FromFit(*best);
}

}  // namespace masseter
