// Channels that stop moving, make and break, print wild words or jump:
// found by comparing each channel with the others, since a dog moves all of
// them together and a bad plug moves one (docs/trust.md).
#ifndef MASSETER_CORE_TRUST_CHANNEL_FAULTS_H_
#define MASSETER_CORE_TRUST_CHANNEL_FAULTS_H_

#include <cstddef>
#include <vector>

#include "core/trust/channel_traces.h"

namespace masseter {

struct ChannelFault {
  enum class Kind {
    kStuck,    // the same value over and over while the others move
    kFlatTop,  // the same, at its highest value, entered and left smoothly
    kLoose,    // jumps away alone, and back or not
    kGlitch,   // the same for one or two samples, or a word 2^k - 1
    kStep,     // jumps alone and stays: its zero moved at that sample
  };
  Kind kind = Kind::kLoose;
  std::size_t channel = 0;
  std::size_t begin = 0;  // samples of the traces
  std::size_t end = 0;
  double step_n = 0.0;  // kStep: how far
  bool whole = false;   // kStuck: no other value in all that was looked at
  bool open = false;    // kLoose: had not come back when the traces ended
  // kLoose: its words stood at the end of the converter's scale meanwhile.
  bool at_end = false;
};

// In order of channels, then of time.
//
// Stuck: a run of equal words is a fault when chance does not give it (the
// share q of equal neighbours elsewhere, q^n < 1e-9) while the others move by
// 5 N and 8 noises at least (q^n < 1e-30 needs no move; where a digit is
// coarser than the noise a run's length says nothing), or when the others' move
// should have moved it by four digits and eight noises. A channel that never
// moved at all is compared with 30 N and 300 digits of the others. A run at the
// channel's highest value is a flat top from three samples on when it should
// have moved by eight digits and eight noises, from two on when by 300 digits.
//
// Loose, glitch and step: a first difference d that stands out from the six
// around it by D, with e = D - r D_others beyond 8 root 2 noises, 3 N and 1 %
// of the load a millisecond (r the channel's ratio to the others), while the
// others' own D stay below 0.3 of it. The channel is away until it is back
// at what the others, or the calibrated map, say of it, within 3 % of the jump
// (30 N at most),
// 8 % of its own force and 6 noises, for three samples.
// One-cell sleeves: what no force can do (lone_cell.h), and, at 150 samples a
// second at least, a step that is alone in time and back within 100 ms.
std::vector<ChannelFault> FindChannelFaults(const Rig& rig,
                                            const ForceModel& model,
                                            const EventContext& context,
                                            const ChannelTraces& traces);

// What the others say of channel `c` at sample `i`: the calibrated map where
// there is one, else `ratio` times their sum.
double FromOthers(const ForceModel& model, const ChannelTraces& traces,
                  std::size_t c, std::size_t i, double ratio);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_CHANNEL_FAULTS_H_
