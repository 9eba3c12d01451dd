// `explain BOOK A B`: why two bites differ, and whether the instrument explains
// the spread of all bites of their dogs and days.
#ifndef MASSETER_APP_EXPLAIN_PAIR_H_
#define MASSETER_APP_EXPLAIN_PAIR_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "app/explain_bite.h"
#include "core/trust/consistency.h"
#include "core/trust/disagreement.h"

namespace masseter {

// All bites of a dog, or of a day (UTC), that have a figure with two ends; void
// ones and lower bounds are left out.
struct ConsistencyGroup {
  std::string of;  // "Brisk", "2026-05-16"
  bool dog = false;
  std::size_t left_out = 0;
  std::optional<Consistency> test;  // of the peaks; needs two bites
};

struct PairExplanation {
  ReplayedBite first;
  ReplayedBite second;
  Disagreement split;
  std::string sentence;  // names the leading cause
  std::vector<ConsistencyGroup> groups;
};

// The same bite twice, or one without a calibration, is bad input.
Expected<PairExplanation> ExplainPair(const std::string& book_path,
                                      std::int64_t first, std::int64_t second);

// "where they were gripped", "the missing samples in bite 7".
std::string CauseWords(const std::string& cause, Side side,
                       const PairExplanation& pair);

}  // namespace masseter

#endif  // MASSETER_APP_EXPLAIN_PAIR_H_
