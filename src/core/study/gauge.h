// Gauge repeatability and reproducibility by analysis of variance (common
// practice in industry): how much of the spread in a table is the measuring
// and how much is the dogs. Factor 0 is the dog; factors 1 and 2 are what else
// changed: the helper, the placing of the sleeve.
//
// Equipment variation EV: repeats under the same conditions (here that includes
// the dog's own unsteadiness: a dog never bites the same twice). Appraiser
// variation AV: helper and placing. Interactions INT. GRR^2 = EV^2 + AV^2 +
// INT^2; PV the dogs; TV^2 = GRR^2 + PV^2. Negative components count as 0.
//
// Intervals are generalised confidence intervals (Hamada and Weerahandi, J.
// Qual. Technol. 32 (2000) 241): components computed from mean squares drawn
// as their chi-squared distributions allow; seeded, the same on every machine.
#ifndef MASSETER_CORE_STUDY_GAUGE_H_
#define MASSETER_CORE_STUDY_GAUGE_H_

#include <cstddef>
#include <vector>

#include "core/base/error.h"
#include "core/study/anova.h"

namespace masseter {

struct GaugePart {
  double variance = 0.0;
  double sd = 0.0;
  double sd_lo = 0.0;
  double sd_hi = 0.0;
  double percent_of_total = 0.0;      // 100 sd / TV
  double percent_contribution = 0.0;  // 100 variance / TV^2
};

struct GaugeStudy {
  CrossedAnova anova;
  GaugePart repeatability;            // EV
  std::vector<GaugePart> conditions;  // one for factor 1, one for factor 2
  GaugePart interaction;              // INT, all that is left in the model
  GaugePart reproducibility;          // AV: conditions together
  GaugePart gauge;                    // GRR
  GaugePart dogs;                     // PV
  GaugePart total;                    // TV
  // Number of distinct categories, 1.41 PV / GRR, cut to a whole number.
  double categories_exact = 0.0;
  int categories = 0;
  double icc = 0.0;  // PV^2 / TV^2
  double icc_lo = 0.0;
  double icc_hi = 0.0;
};

// `table` has the dog as factor 0 and one or two further factors, and at least
// two repeats a cell. Interactions with p above `pool_above` (0.25 is common
// practice) join the repeatability.
Expected<GaugeStudy> AnalyseGauge(const CrossedTable& table,
                                  double pool_above = 0.25,
                                  double level = 0.95);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_GAUGE_H_
