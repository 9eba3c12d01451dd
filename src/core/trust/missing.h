// Samples that are not there: gaps, restarts, and a capture that ends under
// load.
#ifndef MASSETER_CORE_TRUST_MISSING_H_
#define MASSETER_CORE_TRUST_MISSING_H_

#include <vector>

#include "core/bite/measure.h"

namespace masseter {

// A gap of length d between forces F1 and F2 can hide a peak of at most
// (F1 + F2 + s d) / 2, with s the steepest rise of this bite (98th
// percentile, and 20 kN/s at least while the strike may last): its effect is
// what that exceeds the peak by, and never more than up to `range_n`. A restart
// hides an unknown pause and has no effect in newtons. Forces are named in the
// texts only when they are `in_newtons`.
std::vector<Reason> MissingSamples(const LoadEvent& event,
                                   const MeasuredBite& bite, double range_n,
                                   bool in_newtons);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_MISSING_H_
