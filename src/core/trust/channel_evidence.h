// Evidence from single channels: stuck, loose, glitch, zero that jumped, flat
// tops; and cells that disagree with any single grip.
#ifndef MASSETER_CORE_TRUST_CHANNEL_EVIDENCE_H_
#define MASSETER_CORE_TRUST_CHANNEL_EVIDENCE_H_

#include <optional>
#include <vector>

#include "core/bite/measure.h"
#include "core/bite/peak.h"
#include "core/trust/mend.h"

namespace masseter {

// One reason a channel and kind, for the faults within the bite. The effect is
// what the repair leaves open of the peak: at the peak itself, or as far as
// repaired samples could rise above it.
std::vector<Reason> ChannelReasons(const Rig& rig, const Mended& mended,
                                   const MeasuredBite& bite,
                                   const PeakEstimate& peak);

// Mean signals while held, against what one grip at any place gives: a channel
// that the calibrated map tells from the others is off by more than four of
// the map's left-out errors and 4 % of the load. Without a map: a cell that is
// pulled by more than 15 % of the load while the others are pressed.
// `p` are the channels' newtons, zero corrected, mean over the hold.
std::optional<Reason> OddGrip(const Rig& rig, const ForceModel& model,
                              const std::vector<double>& p, const Bite& bite);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_CHANNEL_EVIDENCE_H_
