// Runs of equal words: core/trust/channel_faults.h tells the criterion.
#ifndef MASSETER_CORE_TRUST_STUCK_CHANNEL_H_
#define MASSETER_CORE_TRUST_STUCK_CHANNEL_H_

#include <cstddef>
#include <vector>

#include "core/trust/channel_faults.h"

namespace masseter {

// Samples at which a channel is known to be wild, [channel][sample]; {}: none.
using WildSamples = std::vector<std::vector<char>>;

// Faults of kind kStuck and kFlatTop of channel `c`. What the others do while
// one of them is wild does not count.
std::vector<ChannelFault> FindStuck(const Rig& rig, const ChannelTraces& traces,
                                    std::size_t c, const WildSamples& wild);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_STUCK_CHANNEL_H_
