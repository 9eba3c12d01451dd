// Why two bites differ. The difference that a plain read-out would show is
// split into causes and what remains for the dog:
//
//   R_A - R_B = sum over causes of share_c + dog
//   share_c   = -(k_cA - k_cB) - (d_cA - d_cB)
//   dog       = (F_A - F_B) + sum over causes of (d_cA - d_cB)
//
// R is the highest sample as read, F the peak, k_c the correction that cause c
// got on the way from R to F (figure_steps.h), and d_c what is left open of it:
// the lines of the budget and the evidence, drawn by Monte Carlo
// (propagate.h). One-sided evidence, a gap or a loss, has an expectation of its
// own, so that a share is not 0 though nothing was corrected; its interval
// reaches to nothing lost.
#ifndef MASSETER_CORE_TRUST_DISAGREEMENT_H_
#define MASSETER_CORE_TRUST_DISAGREEMENT_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/bite/measure.h"

namespace masseter {

// Which of the two a cause lies in.
enum class Side : std::uint8_t { kBoth, kFirst, kSecond };

struct CauseShare {
  // "place" where it was gripped: the map's correction and its residual, `edge`
  //         and `odd`
  // "zero" "sampling" (noise, crest, bandwidth and ringing with it)
  // "calibration" what the two do not have in common of it, and `stale`
  // or the word of a fault: "gap", "stuck", ...
  std::string cause;
  Side side = Side::kBoth;
  double corrected_n = 0.0;  // of R_A - R_B, taken out before F
  // Expectation and 95 % interval; empty where a force was lost and nobody
  // knows how much.
  std::optional<double> share_n;
  std::optional<double> low_n;
  std::optional<double> high_n;
};

struct Disagreement {
  double as_read_n = 0.0;          // R_A - R_B
  double difference_n = 0.0;       // F_A - F_B
  std::vector<CauseShare> shares;  // largest first, faults without end before
  // What remains for the dog; an end is empty where a lower bound leaves it
  // open, the expectation where one is.
  std::optional<double> dog_n;
  std::optional<double> dog_low_n;
  std::optional<double> dog_high_n;
  // Word and side of the leading cause: the largest share, or "dog". A force
  // that was lost leads where it can make up the difference: where the bite
  // that lost it reads no more than the other.
  std::string cause;
  Side side = Side::kBoth;
  // No share and no dog is larger than what the instrument leaves open; the
  // leading cause is then evidence that nobody can put a size on, else the
  // share that leaves most open.
  bool agree = false;
};

// Both bites have a peak, a budget and steps. `same_calibration`: their common
// errors cancel but for the difference of the forces.
Disagreement SplitDifference(const MeasuredBite& first,
                             const Calibration& first_calibration,
                             const MeasuredBite& second,
                             const Calibration& second_calibration,
                             bool same_calibration);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_DISAGREEMENT_H_
