// Evidence against a bite's figures, each with its span of samples and what it
// could have done to the peak (docs/method.md section 6).
#ifndef MASSETER_CORE_TRUST_EVIDENCE_H_
#define MASSETER_CORE_TRUST_EVIDENCE_H_

#include <vector>

#include "core/bite/measure.h"
#include "core/bite/peak.h"

namespace masseter {

// Looks for: gap, restart, sag, glitch, rail, overload, zero, slow, edge,
// place, uncalibrated. `bite.bite.peak_u95_n` is filled already.
std::vector<Reason> CollectEvidence(const Rig& rig, const ForceModel& model,
                                    const SampleWindow& window,
                                    const EventContext& context,
                                    const MeasuredBite& bite,
                                    const PeakEstimate& peak);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_EVIDENCE_H_
