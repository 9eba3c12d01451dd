// Two ways of measuring the same thing, compared by their differences: Bland
// and Altman, Lancet 1986 i:307 and Stat. Methods Med. Res. 8 (1999) 135, with
// repeated measurements by sections 5.1 and 5.3 there. Differences are
// first minus second, in the unit of the data; of logarithms, they are ratios.
// Pure functions.
#ifndef MASSETER_CORE_STUDY_BLAND_ALTMAN_H_
#define MASSETER_CORE_STUDY_BLAND_ALTMAN_H_

#include <cstddef>
#include <vector>

#include "core/base/error.h"

namespace masseter {

// What was measured on one subject (a dog) by each of two methods (two
// sleeves, two helpers): any number of values of each, at least one.
struct MethodPair {
  std::vector<double> a;
  std::vector<double> b;
};

struct DifferencePoint {
  double mean = 0.0;        // of the two methods
  double difference = 0.0;  // a - b
};

struct BlandAltman {
  std::size_t subjects = 0;
  std::size_t values_a = 0;
  std::size_t values_b = 0;
  bool repeated = false;  // some subject has several values of a method
  double mean = 0.0;      // of the differences of subjects' means
  double sd = 0.0;        // of a difference between two single values
  double se_mean = 0.0;
  double mean_lo = 0.0;
  double mean_hi = 0.0;
  // Limits that hold 95 % of the differences of single values, mean +- z sd,
  // each with its own interval.
  double limit_lo = 0.0;
  double limit_hi = 0.0;
  double limit_lo_from = 0.0;
  double limit_lo_to = 0.0;
  double limit_hi_from = 0.0;
  double limit_hi_to = 0.0;
  double se_limit = 0.0;
  // Within-subject standard deviations; 0 without repeats.
  double within_a_sd = 0.0;
  double within_b_sd = 0.0;
  // Least-squares slope of the difference on the mean with its t-test: a
  // difference that grows with the force wants a comparison of logarithms.
  double slope = 0.0;
  double slope_p = 1.0;
  std::vector<DifferencePoint> points;  // one a subject
};

// Three subjects at least. With repeats the variance of a difference of single
// values is var(differences of means) + (1 - mean(1/m_a)) s_a^2
// + (1 - mean(1/m_b)) s_b^2 (section 5.3; 5.1 for equal numbers), and the
// limits' standard error follows from it by the same parts.
Expected<BlandAltman> CompareMethods(const std::vector<MethodPair>& subjects,
                                     double level = 0.95);

// Section 5.2, for values taken in pairs while the true value may change from
// pair to pair: one-way analysis of the pairs' differences by subject.
// `differences[i]` are those of subject i.
struct VaryingTruth {
  double mean = 0.0;
  double between_ms = 0.0;
  double within_ms = 0.0;
  double n0 = 0.0;
  double between_variance = 0.0;
  double sd = 0.0;
  double limit_lo = 0.0;
  double limit_hi = 0.0;
};
Expected<VaryingTruth> ComparePairsOfVaryingTruth(
    const std::vector<std::vector<double>>& differences, double level = 0.95);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_BLAND_ALTMAN_H_
