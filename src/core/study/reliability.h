// How far repeated measurements of the same dogs agree: the six intraclass
// correlations of Shrout and Fleiss (Psychol. Bull. 86 (1979) 420) with
// intervals (McGraw and Wong, Psychol. Methods 1 (1996) 30; Satterthwaite's
// degrees of freedom for form 2), Cronbach's alpha with Feldt's interval, the
// Spearman-Brown rule, and what follows for a single bite.
//
// Words: a *dog* is what is measured (the target), a *rater* is what measures
// it: a helper, a sleeve, a day, a placing. Pure functions.
#ifndef MASSETER_CORE_STUDY_RELIABILITY_H_
#define MASSETER_CORE_STUDY_RELIABILITY_H_

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include "core/base/error.h"
#include "core/study/anova.h"

namespace masseter {

// Rows are dogs, columns raters: value[dog * raters + rater]. No cell missing.
struct RaterTable {
  std::size_t dogs = 0;
  std::size_t raters = 0;
  std::vector<double> value;
};

// One intraclass correlation. Forms 1: every dog had other raters (one way);
// 2: raters are a sample of those who might rate (agreement); 3: these raters
// and no others (consistency). "k": of the mean of all k values of a dog.
struct Icc {
  std::string_view form;   // "ICC1" "ICC2" "ICC3" "ICC1k" "ICC2k" "ICC3k"
  std::string_view means;  // in words
  double value = 0.0;
  double lo = 0.0;  // NaN where the data cannot give a bound
  double hi = 0.0;
  double f = 0.0;  // test against 0
  double dof1 = 0.0;
  double dof2 = 0.0;
  double p = 1.0;
};

struct Alpha {
  double value = 0.0;
  double lo = 0.0;  // Feldt 1965
  double hi = 0.0;
  double standardised = 0.0;          // from correlations alone
  std::vector<double> without_rater;  // alpha when one column is left out
};

struct Reliability {
  double dogs_ms = 0.0;    // BMS of the paper
  double within_ms = 0.0;  // WMS
  double raters_ms = 0.0;  // JMS
  double error_ms = 0.0;   // EMS
  std::array<Icc, 6> icc;
  Alpha alpha;
  // Standard error of one measurement, in the unit of the data, and the
  // smallest real difference between two of them, 1.96 sqrt(2) SEM.
  double sem_agreement = 0.0;    // raters' differences count as error
  double sem_consistency = 0.0;  // they do not
  double srd_agreement = 0.0;
  double srd_consistency = 0.0;
};

// At least two dogs and two raters; a table whose values are all equal is
// refused, since nothing can be told apart.
Expected<Reliability> AnalyseReliability(const RaterTable& table,
                                         double level = 0.95);

// ICC(1) of unequal numbers of repeats, from the one-way analysis with n0 (an
// approximation there, exact for equal numbers).
Icc OneWayIcc(const OneWayAnova& anova, double level = 0.95);

// Reliability of the mean of `times` as many values (Spearman 1910, Brown
// 1910): m r / (1 + (m - 1) r).
double SpearmanBrown(double reliability, double times);

// Values per dog until their mean reaches `wanted`, given the reliability of
// one; nullopt when it is not above 0 (no number does) or arguments lie outside
// (0, 1).
std::optional<std::size_t> BitesForReliability(double reliability,
                                               double wanted);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_RELIABILITY_H_
