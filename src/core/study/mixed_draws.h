// Draws of the dogs' means that the data leave possible, for everything that
// has no closed form: intervals of shrunken means with the components' own
// uncertainty in them, simultaneous comparisons, ranks, and all of it with
// lower bounds, several random factors and the instrument's part.
//
// Gibbs sampling (Gelfand and Smith, J. Am. Stat. Assoc. 85 (1990) 398): a
// lower bound and the instrument's error are drawn anew in each sweep (data
// augmentation: Tanner and Wong, J. Am. Stat. Assoc. 82 (1987) 528); the
// coefficients and the first factor's effects are drawn together, and each
// factor's effects are shifted and stretched as a whole, so that sweeps forget
// quickly (Liu and Wu, J. Am. Stat. Assoc. 94 (1999) 1264). Prior: flat in the
// coefficients and in log s; of a factor's standard deviation half-Cauchy with
// once the whole spread, of the dogs' with five times it and times the square
// root of the standard deviation from four dogs on (flat would be Gelman's,
// Bayesian Anal. 1 (2006) 515). Chosen for its coverage, which
// tests/reference/coverage_test.cc measures.
//
// The same seed gives the same draws on every machine. Pure function.
#ifndef MASSETER_CORE_STUDY_MIXED_DRAWS_H_
#define MASSETER_CORE_STUDY_MIXED_DRAWS_H_

#include <cstdint>
#include <vector>

#include "core/study/mixed_interval.h"
#include "core/study/mixed_model.h"

namespace masseter {

struct DrawRequest {
  // Sums of coefficients to follow: a row of factors, one a column; `level`
  // names the level of the first factor whose effect is added, or kNoLevel.
  static constexpr std::size_t kNoLevel = static_cast<std::size_t>(-1);
  struct Target {
    std::vector<double> row;
    std::size_t level = kNoLevel;
  };
  std::vector<Target> targets;
  std::size_t draws = 8000;
  std::size_t first = 1000;  // sweeps before the first draw
  std::uint64_t seed = 1;
};

struct MixedDraws {
  std::size_t count = 0;
  std::size_t targets = 0;
  std::vector<double> target;                 // count x targets
  std::vector<double> residual;               // variance s^2, count
  std::vector<std::vector<double>> variance;  // of each factor, count each

  double power = 0.0;  // of the first factor's deviation in the prior

  double Target(std::size_t draw, std::size_t t) const {
    return target[draw * targets + t];
  }
  std::vector<double> Of(std::size_t t) const;
};

// Starts from `fit` (of the same data, lower bounds taken as values or not).
MixedDraws DrawMixed(const MixedData& data, const MixedFit& fit,
                     const DrawRequest& request);

// The first factor's share of the variance in every draw.
std::vector<double> IccDraws(const MixedDraws& draws);
// Its interval, with the power taken out of the prior again: flat covers better
// here.
StudyInterval IccInterval(const MixedDraws& draws, double level = 0.95);

// Quantile p of values in any order (between neighbours linearly).
double QuantileOf(std::vector<double> values, double p);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_MIXED_DRAWS_H_
