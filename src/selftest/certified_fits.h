// NIST Statistical Reference Datasets, linear regression: certified values,
// fifteen digits.
#ifndef MASSETER_SELFTEST_CERTIFIED_FITS_H_
#define MASSETER_SELFTEST_CERTIFIED_FITS_H_

#include <span>
#include <string_view>
#include <vector>

#include "selftest/certified_data.h"

namespace masseter::selftest {

struct CertifiedFit {
  std::string_view name;
  std::string_view file;
  std::vector<std::string_view> x;  // one: a polynomial of it
  std::string_view y;
  Column coeffs;
  Column standard_errors;
  double residual_sd = 0.0;
  // Digits that each method must reach: what it should with the data rounded
  // to double, less one for another compiler's mathematics. 0: not asked.
  double polynomial_digits = 0.0;
  double polynomial_error_digits = 0.0;
  double general_digits = 0.0;
  double general_error_digits = 0.0;
};

// Norris, Pontius, Longley, Filip, Wampler1 to Wampler5.
std::span<const CertifiedFit> CertifiedFits();

// By its name; it must be one of them.
const CertifiedFit& CertifiedFitOf(std::string_view name);

}  // namespace masseter::selftest

#endif  // MASSETER_SELFTEST_CERTIFIED_FITS_H_
