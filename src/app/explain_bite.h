// `explain BOOK BITE`: everything that stands behind one bite's figure, as
// plain data. The bite is measured anew from its raw samples, as it was when it
// was stored.
#ifndef MASSETER_APP_EXPLAIN_BITE_H_
#define MASSETER_APP_EXPLAIN_BITE_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "app/book.h"
#include "core/bite/frequency_content.h"
#include "core/bite/measure.h"
#include "core/trust/budget.h"
#include "core/trust/counterfactual.h"
#include "report/report_model.h"

namespace masseter {

// A bite with its samples and what it rests on.
struct ReplayedBite {
  MeasuredBite measured;  // with its steps; bite.id set
  CaptureInfo capture;
  std::int64_t calibration_id = 0;  // 0: none
  double calibrated_unix_s = 0.0;
  std::optional<Calibration> calibration;
  std::string rig;
  int rig_revision = 1;
  std::string method;
  // The sharpest crest, of a peak or a strike, among the capture's bites that
  // are not void, seconds; 0 where none shows.
  double sharpest_crest_s = 0.0;
};

// In the order of `ids`. Measures first what is left to measure. An id that no
// bite has is bad input.
Expected<std::vector<ReplayedBite>> ReplayBites(
    const std::string& book_path, const std::vector<std::int64_t>& ids);

// The budget as a table and by both ways of adding it up.
struct BudgetAnswer {
  CombinedUncertainty combined;
  double coverage_factor = 0.0;
  double expanded_n = 0.0;
  Propagation drawn;
  bool by_monte_carlo = false;  // the bite's interval is from the draws
  // JCGM 101 clause 8: the ends by the GUM and by the draws differ by no more
  // than the numerical tolerance of two digits.
  bool ways_agree = false;
};

struct BiteExplanation {
  ReplayedBite bite;
  std::vector<Counterfactual> without;  // one a reason
  std::optional<BudgetAnswer> budget;   // none without a calibration
  std::optional<FrequencyContent> frequencies;
  std::optional<SamplingNeed> sampling;
  std::string verdict;  // in words, a sentence or two
};

Expected<BiteExplanation> ExplainBite(const std::string& book_path,
                                      std::int64_t id);

// The trace around the bite in that many columns at most.
ReportBite PictureOf(const MeasuredBite& measured, std::size_t columns);

// What a budget line's input is, in words: "force that the calibration gives".
std::string BudgetInputWords(const std::string& term);

}  // namespace masseter

#endif  // MASSETER_APP_EXPLAIN_BITE_H_
