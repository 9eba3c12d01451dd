// One dog over months. Bites of one day share that day (the dog's mood, the
// weather, the sleeve's cover), so a day counts as one value: the mean of the
// logarithms of its bites. The trend is a straight line through the days, with
// Student's t for its interval; on the logarithm a slope is per cent per month.
//
// A bite known only as "at least" enters as what it is: the day means and the
// spread within days are maximum-likelihood estimates for right-censored normal
// data (expectation-maximisation: Dempster, Laird and Rubin, J. R. Stat. Soc. B
// 39 (1977) 1). Values left out (void) are the caller's to count.
//
// A fall is a day below what the days before it let expect (one-sided 97.5 %
// prediction bound). The words for it belong to the report: pain in the mouth
// lowers the force, so it means "have the mouth looked at".
// Pure functions.
#ifndef MASSETER_CORE_STUDY_SEASON_H_
#define MASSETER_CORE_STUDY_SEASON_H_

#include <cstddef>
#include <optional>
#include <vector>

#include "core/base/error.h"

namespace masseter {

struct SeasonBite {
  double day = 0.0;    // whole days from any origin
  double force = 0.0;  // N, above 0
  bool at_least = false;
};

struct SeasonDay {
  double day = 0.0;
  std::size_t bites = 0;
  std::size_t at_least = 0;
  // Every bite is a lower bound: `force` is one too (their mean), and the day
  // has no part in the trend.
  bool only_at_least = false;
  double force = 0.0;  // geometric mean, N
  double lo = 0.0;     // its interval from the spread within days
  double hi = 0.0;     // 0 when nothing was repeated on any day
  // Lowest force that the days before let expect; nullopt for the first three.
  std::optional<double> expected_low;
  std::optional<double> expected;
  bool fall = false;
};

struct SeasonTrend {
  double per_month = 0.0;  // relative change in 30 days: 0.05 is +5 %
  double lo = 0.0;
  double hi = 0.0;
  double p = 1.0;
  double start_force = 0.0;  // the line at the first and last day, N
  double end_force = 0.0;
};

struct Season {
  std::vector<SeasonDay> days;       // in order
  std::optional<SeasonTrend> trend;  // from three days on
  double within_day_sd = 0.0;        // of ln F
  double between_day_sd = 0.0;       // about the line, of day means
  bool latest_is_a_fall = false;
};

// At least two different days; forces above 0.
Expected<Season> AnalyseSeason(const std::vector<SeasonBite>& bites,
                               double level = 0.95);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_SEASON_H_
