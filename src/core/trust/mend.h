// Repair where it is honest: a channel that failed for a while is told from
// the others, as far as the calibrated map or the same bite's healthy samples
// allow, with what that leaves open; else only a lower bound is left
// (docs/trust.md). A gap is never filled.
#ifndef MASSETER_CORE_TRUST_MEND_H_
#define MASSETER_CORE_TRUST_MEND_H_

#include <cstddef>
#include <cstdint>
#include <vector>

#include "core/bite/measure.h"
#include "core/trust/channel_faults.h"

namespace masseter {

// What was done about one fault.
enum class Mending {
  kNothing,   // nothing to be done about it
  kFromMap,   // told from the other channels by the calibrated map
  kFromBite,  // by the channel's share in the same bite's healthy samples
  kStepped,   // the jump of zero is taken out from its sample on
  kBound,     // the channel's force is left out: a lower bound remains
};

struct MendedFault {
  ChannelFault fault;
  Mending mending = Mending::kNothing;
};

struct Mended {
  SampleWindow window;   // the traces' rows, repaired
  EventContext context;  // zeros and highest frame without the faults
  std::uint64_t first_row = 0;
  std::vector<MendedFault> faults;
  // 95 % half-width in newtons of total force that the repair of each row
  // leaves open; 0 for rows that were left alone.
  std::vector<double> doubt_n;
};

// `window` is not changed. Half-widths at 95 %:
//   from the map   2 left-out errors of it, 1 % of the load at least
//   up to 0.1 s    half of what the channel's two ends disagree by, and 2 %
//                  of the load
//   from the bite  15 % of the load (where the grip went meanwhile is unseen)
Mended MendChannels(const ForceModel& model, const SampleWindow& window,
                    const EventContext& context, const ChannelTraces& traces,
                    const std::vector<ChannelFault>& faults);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_MEND_H_
