// The mixed model with one random factor where some values are only lower
// bounds (a sleeve that lost power or clipped while force rose or stood). A
// bound is neither a value nor nothing: it has the probability that the true
// value lies above it,
//
//   L = prod_j Int N(u; 0, s_d^2) prod_i f_ij(u) du,
//   f = normal density of a value, upper tail probability of a bound,
//
// the integral taken by adaptive Gauss-Hermite quadrature about the mode of
// each level (Liu and Pierce, Biometrika 81 (1994) 624; Pinheiro and Bates,
// J. Comput. Graph. Stat. 4 (1995) 12) and maximised over b, s and s_d (full
// likelihood; there is no restricted one here). With a single level s_d is held
// at 0: ordinary censored regression.
//
// Pure function.
#ifndef MASSETER_CORE_STUDY_CENSORED_MODEL_H_
#define MASSETER_CORE_STUDY_CENSORED_MODEL_H_

#include "core/base/error.h"
#include "core/study/mixed_model.h"

namespace masseter {

// `data` has one random factor. Effects are conditional means. Refuses data
// with more coefficients than values that are not bounds.
Expected<MixedFit> FitCensored(const MixedData& data);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_CENSORED_MODEL_H_
