// Analysis of variance, one way and for fully crossed balanced tables with up
// to three factors; variance components by equating the mean squares to their
// expectations (all factors random).
//
// Sums of squares are taken of values whose first value has been subtracted and
// then about the means (two passes), which keeps the digits that the data have:
// checked on NIST's StRD sets with 1e12 in front of the differences.
//
// Pure functions. Values must be finite.
#ifndef MASSETER_CORE_STUDY_ANOVA_H_
#define MASSETER_CORE_STUDY_ANOVA_H_

#include <cstddef>
#include <span>
#include <vector>

#include "core/base/error.h"

namespace masseter {

struct OneWayAnova {
  double between_dof = 0.0;
  double within_dof = 0.0;
  double between_ss = 0.0;
  double within_ss = 0.0;
  double between_ms = 0.0;
  double within_ms = 0.0;
  double f = 0.0;
  double p = 1.0;
  double r_squared = 0.0;
  double residual_sd = 0.0;
  double mean = 0.0;
  // The size that stands for unequal groups in E[MSB] = s_w^2 + n0 s_b^2:
  // (N - sum n_i^2 / N) / (k - 1); the common size when they are equal.
  double n0 = 0.0;
  std::size_t values = 0;
  std::size_t groups = 0;
};

// `group[i]` in 0..groups-1 names the group of `value[i]`. Refuses fewer than
// two groups with values and tables without a repeated value in any group.
Expected<OneWayAnova> AnalyseOneWay(std::span<const double> value,
                                    std::span<const std::size_t> group,
                                    std::size_t groups);

// A fully crossed table: `levels[f]` levels of factor f, `repeats` values in
// each cell, stored with the last factor fastest and the repeats innermost.
struct CrossedTable {
  std::vector<std::size_t> levels;  // 1 to 3 factors, at least 2 levels each
  std::size_t repeats = 1;
  std::vector<double> values;
};

// One line of the crossed analysis: the effect of the factors in `factors`
// (bit f set: factor f). With one value a cell the interaction of all factors
// is the error.
struct CrossedEffect {
  unsigned factors = 0;
  double dof = 0.0;
  double ss = 0.0;
  double ms = 0.0;
  double weight = 0.0;    // its component's factor in expected mean squares
  double variance = 0.0;  // component by equating mean squares; may be negative
  double f = 0.0;         // MS over the mean square that it is tested against:
  double p = 1.0;         // of the interaction with one further factor where
                          // there is exactly one in the model, else the error
};

struct CrossedAnova {
  std::vector<CrossedEffect> effects;  // single factors first, then pairs, ...
  double error_dof = 0.0;
  double error_ss = 0.0;
  double error_ms = 0.0;
  std::vector<unsigned> pooled;  // interactions that went into the error

  const CrossedEffect* Find(unsigned factors) const;
};

// Interactions whose F against the error has p above `pool_above` join the
// error, the largest set of factors first; pool_above >= 1 keeps all.
Expected<CrossedAnova> AnalyseCrossed(const CrossedTable& table,
                                      double pool_above);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_ANOVA_H_
