// Evidence against a bite's figures, each with its span of samples and what it
// could have done to the peak (docs/method.md section 6).
#ifndef MASSETER_CORE_TRUST_EVIDENCE_H_
#define MASSETER_CORE_TRUST_EVIDENCE_H_

#include <vector>

#include "core/bite/measure.h"
#include "core/bite/peak.h"
#include "core/trust/mend.h"

namespace masseter {

// Looks for: gap, restart, sag, glitch, rail, overload, stuck, loose, zero,
// slow, edge, odd, place, clock, uncalibrated. `bite.bite.peak_u95_n` is filled
// already. `window` is repaired where `mended` says so; null for no repair.
std::vector<Reason> CollectEvidence(const Rig& rig, const ForceModel& model,
                                    const SampleWindow& window,
                                    const EventContext& context,
                                    const MeasuredBite& bite,
                                    const PeakEstimate& peak,
                                    const Mended* mended);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_EVIDENCE_H_
