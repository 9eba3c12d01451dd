#include "core/trust/consistency.h"

#include <algorithm>
#include <cmath>

#include "core/metrology/student_t.h"

namespace masseter {
namespace {

struct Weighted {
  double mean = 0.0;
  double weight = 0.0;
  double chi_squared = 0.0;
};

// With `beyond` added to every uncertainty in quadrature.
Weighted Weigh(std::span<const StatedValue> values, double beyond) {
  Weighted out;
  const auto weight = [beyond](const StatedValue& v) {
    return 1.0 / (v.u * v.u + beyond * beyond);
  };
  for (const StatedValue& v : values) {
    out.weight += weight(v);
    out.mean += weight(v) * v.value;
  }
  out.mean /= out.weight;
  for (const StatedValue& v : values) {
    const double off = v.value - out.mean;
    out.chi_squared += weight(v) * off * off;
  }
  return out;
}

// chi2 falls as `beyond` grows: by halving.
double BeyondOf(std::span<const StatedValue> values, double dof) {
  const auto [least, most] = std::minmax_element(
      values.begin(), values.end(),
      [](const auto& a, const auto& b) { return a.value < b.value; });
  double low = 0.0;
  double high = most->value - least->value;
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (low + high);
    (Weigh(values, middle).chi_squared > dof ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace

std::optional<Consistency> TestConsistency(
    std::span<const StatedValue> values) {
  if (values.size() < 2) return std::nullopt;
  for (const StatedValue& v : values) {
    if (!(v.u > 0.0) || !std::isfinite(v.value)) return std::nullopt;
  }
  const double dof = static_cast<double>(values.size()) - 1.0;
  const Weighted w = Weigh(values, 0.0);
  Consistency out;
  out.values = values.size();
  out.mean = w.mean;
  out.mean_u = 1.0 / std::sqrt(w.weight);
  out.chi_squared = w.chi_squared;
  out.birge_ratio = std::sqrt(w.chi_squared / dof);
  out.p = ChiSquaredUpperTail(w.chi_squared, dof);
  if (w.chi_squared > dof) out.beyond = BeyondOf(values, dof);
  return out;
}

}  // namespace masseter
