// A simulated sleeve at work in real time: its lines into a sink at the pace
// of a clock.
#ifndef MASSETER_APP_PLAY_SLEEVE_H_
#define MASSETER_APP_PLAY_SLEEVE_H_

#include <atomic>

#include "core/base/error.h"
#include "device/sim/stream.h"
#include "device/sink.h"

namespace masseter {

// Plays the day into the sink, `speed` times as fast as it would go; 0: as
// fast as the sink takes it. True when the whole day was played, false when
// the reader left or `stop` was set.
Expected<bool> PlaySleeve(sim::SimStream& stream, Sink& sink, double speed,
                          const std::atomic<bool>& stop);

}  // namespace masseter

#endif  // MASSETER_APP_PLAY_SLEEVE_H_
