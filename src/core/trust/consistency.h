// Does the instrument explain the spread of several figures? The Birge ratio
// (Birge, Phys. Rev. 40 (1932) 207): observed over expected scatter of values
// around their weighted mean. Pure; safe from several threads.
#ifndef MASSETER_CORE_TRUST_CONSISTENCY_H_
#define MASSETER_CORE_TRUST_CONSISTENCY_H_

#include <cstddef>
#include <optional>
#include <span>

namespace masseter {

struct StatedValue {
  double value = 0.0;
  double u = 0.0;  // standard uncertainty, above 0
};

//   x_w = sum(x_i / u_i^2) / sum(1 / u_i^2)
//   chi2 = sum(((x_i - x_w) / u_i)^2),  R_B = sqrt(chi2 / (n - 1))
// p is the chance of a chi2 as large with n - 1 degrees of freedom, when
// nothing but the stated uncertainties made the values differ.
struct Consistency {
  std::size_t values = 0;
  double mean = 0.0;  // weighted
  double mean_u = 0.0;
  double chi_squared = 0.0;
  double birge_ratio = 0.0;
  double p = 0.0;
  // Scatter beyond the stated uncertainties: the standard deviation that,
  // added in quadrature to each, brings R_B to 1; 0 where R_B is below that
  // (Mandel and Paule, Anal. Chem. 42 (1970) 1194).
  double beyond = 0.0;
  bool Explained() const { return p >= 0.05; }
};

// nullopt for fewer than two values or one without uncertainty.
std::optional<Consistency> TestConsistency(std::span<const StatedValue> values);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_CONSISTENCY_H_
