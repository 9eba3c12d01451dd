// Runs of equal words: core/trust/channel_faults.h tells the criterion.
#ifndef MASSETER_CORE_TRUST_STUCK_CHANNEL_H_
#define MASSETER_CORE_TRUST_STUCK_CHANNEL_H_

#include <cstddef>
#include <vector>

#include "core/trust/channel_faults.h"

namespace masseter {

// Faults of kind kStuck and kFlatTop of channel `c`.
std::vector<ChannelFault> FindStuck(const Rig& rig, const ChannelTraces& traces,
                                    std::size_t c);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_STUCK_CHANNEL_H_
