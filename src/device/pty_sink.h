// A pseudo-terminal that plays a serial port, and what the sinks share.
#ifndef MASSETER_DEVICE_PTY_SINK_H_
#define MASSETER_DEVICE_PTY_SINK_H_

#include <atomic>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include "device/sink.h"

namespace masseter {

Expected<std::unique_ptr<Sink>> OpenPtySink();

// Waits for poll's `events` for 0.1 s at most; false when none came.
bool WaitFor(int fd, std::int16_t events);

// Writes to a descriptor, waiting where it would block. False: the reader has
// gone, or `stop` is set.
Expected<bool> WriteAll(int fd, std::string_view text, const std::string& where,
                        const std::atomic<bool>& stop);

}  // namespace masseter

#endif  // MASSETER_DEVICE_PTY_SINK_H_
