// Linear mixed models with random intercepts: y = X b + sum_k Z_k u_k + e,
// u_k ~ N(0, s_k^2 I), e_i ~ N(0, s^2 + m_i^2), where m_i is what the
// instrument is known to add to value i (0 where nothing is known). The first
// random factor is the dog; others may be crossed with it or nested.
//
// Fitted by restricted or full maximum likelihood through the penalised least
// squares of Bates, Maechler, Bolker and Walker (J. Stat. Softw. 67(1), 2015):
// with the ratios theta_k = s_k / s given, b and s have closed forms, and what
// is left is a search in theta alone. With one random factor everything is
// sums over its levels; with several a sparse Cholesky factor.
//
// A component of exactly 0 is a legal answer ("singular"): the groups differ no
// more than their scatter lets expect. Pure functions of their arguments.
#ifndef MASSETER_CORE_STUDY_MIXED_MODEL_H_
#define MASSETER_CORE_STUDY_MIXED_MODEL_H_

#include <cstddef>
#include <string>
#include <vector>

#include "core/base/error.h"

namespace masseter {

struct RandomFactor {
  std::string name;
  std::size_t levels = 0;
  std::vector<std::size_t> level;  // of every value, 0..levels-1, none empty
};

struct MixedData {
  std::vector<double> y;
  std::vector<std::vector<double>> x;  // columns; the first is all ones
  std::vector<RandomFactor> random;    // at least one
  std::vector<double> known_sd;        // m_i; empty: none known
  std::vector<char> at_least;          // y_i is a lower bound; empty: none is

  std::size_t values() const { return y.size(); }
  std::size_t columns() const { return x.size(); }
  bool HasKnownSd() const { return !known_sd.empty(); }
  std::size_t LowerBounds() const;
};

enum class Likelihood { kRestricted, kFull };

// The values that `kept` marks, one flag a value, and the levels they have.
MixedData SelectValues(const MixedData& data, const std::vector<char>& kept);
// The values that are more than lower bounds, and the levels that they have.
MixedData WithoutBounds(const MixedData& data);

struct MixedFit {
  Likelihood likelihood = Likelihood::kRestricted;
  double criterion = 0.0;        // -2 log (restricted) likelihood
  std::vector<double> variance;  // s_k^2 of each random factor
  double residual = 0.0;         // s^2, without the instrument's part
  std::vector<double> beta;
  std::vector<double> beta_cov;  // columns x columns
  // Predicted effects (conditional means) of every level of every factor.
  std::vector<std::vector<double>> effect;
  bool singular = false;  // some component is 0
  // False where the design cannot tell the first factor from the scatter (one
  // value in each of its levels) or from the fixed effects (one level of it
  // to each level of theirs); its variance is then held at 0.
  bool separable = true;
  std::size_t evaluations = 0;

  double BetaCov(std::size_t i, std::size_t j) const {
    return beta_cov[i * beta.size() + j];
  }
  // Share of the first factor in the whole variance.
  double Icc() const;
};

// Indices of the columns of `x` that earlier ones do not already hold (the
// design's rank), in order.
std::vector<std::size_t> IndependentColumns(
    const std::vector<std::vector<double>>& x);

// Lower bounds are not for this function (see censored_model.h): it takes them
// as values. Refuses designs with no value more than columns and data without
// any scatter left.
Expected<MixedFit> FitMixed(const MixedData& data, Likelihood likelihood);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_MIXED_MODEL_H_
