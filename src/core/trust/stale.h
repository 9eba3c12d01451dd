// Is the calibration behind a bite still good? From its age and from check
// loads before and after the bite.
//
// A bite is `stale` when
//   * a check load failed after it before any passed, or the last check before
//     it failed: it is off by as much, in proportion, as that check was;
//   * the calibration was older than its limit;
//   * with a limit between checks: no check passed within that time before it
//     (the calibration itself counts as one) nor after it.
// For both limits a figure may be off by the calibration's expanded
// uncertainty again, for every limit's length that has passed (three at most):
// a stated rule, not a measurement.
//
// Only checks made with the bite's own calibration count. Times are Unix
// seconds on the host's clock. Pure; safe from several threads.
#ifndef MASSETER_CORE_TRUST_STALE_H_
#define MASSETER_CORE_TRUST_STALE_H_

#include <optional>
#include <string>
#include <vector>

#include "core/bite/bite.h"

namespace masseter {

struct CheckMade {
  double at_unix_s = 0.0;
  bool within = false;
  double relative_error = 0.0;  // (sleeve - load) / load, signed
};

struct Validity {
  double calibrated_unix_s = 0.0;
  double expanded_relative_u95 = 0.0;
  std::optional<double> calibration_for_s;  // age limit
  std::optional<double> check_every_s;
  std::vector<CheckMade> checks;  // in order of time
};

// What speaks against a bite at that moment; several may.
std::vector<Reason> StaleReasons(const Validity& validity, double bite_unix_s,
                                 const Bite& bite);

// Adds such reasons to a judged bite: a sound one becomes doubtful, its
// interval is widened by the largest effect (root sum of squares, both ways),
// and one that may be off by more than half its peak is void.
void HoldAgainst(const std::vector<Reason>& reasons, Bite& bite);
void ApplyStale(const Validity& validity, double bite_unix_s, Bite& bite);

// "12 days", "5 hours", "40 minutes", "7 seconds".
std::string AgeText(double seconds);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_STALE_H_
