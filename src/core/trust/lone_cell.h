// Jumps of a one-cell sleeve that no dog makes. There is no other cell to
// compare with, so what is asked is whether a force could have done it.
#ifndef MASSETER_CORE_TRUST_LONE_CELL_H_
#define MASSETER_CORE_TRUST_LONE_CELL_H_

#include <cstddef>
#include <optional>
#include <vector>

#include "core/trust/channel_traces.h"

namespace masseter {

// The worst impact of a running dog (40 kg slowed by 13 g), and the fastest
// that force may rise or fall: pi F / T, the steepest place of such a half-sine
// of T = 20 ms. No measured rise of a bite on a sleeve was found: an
// assumption.
inline constexpr double kWorstImpactN = 5100.0;
inline constexpr double kFastestN_S = 8.0e5;

// A cell that has borne this many times its capacity is broken (common
// practice: ultimate overload 200 to 300 % of the rated load).
inline constexpr double kBreaksAt = 3.0;

// Samples [begin, begin + off.size()) with, for each, whether it is away.
struct AwaySpan {
  std::size_t begin = 0;
  std::vector<char> off;
};

// Where the only channel jumps, by more than a force can within one sample
// (kFastestN_S, kWorstImpactN at most; 2 % of `range_n` and the noise at least)
// or to where a cell of `capacity_n` would be broken, and comes back. Jumps
// within 0.15 s belong together; one from which it does not return is left out.
// `skip` marks samples that are no part of it (stuck).
std::vector<AwaySpan> JumpsNoForceMakes(const ChannelTraces& traces,
                                        double period_s, double range_n,
                                        std::optional<double> capacity_n,
                                        const std::vector<char>& skip);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_LONE_CELL_H_
