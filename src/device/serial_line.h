// A serial port opened raw, at any baud rate.
#ifndef MASSETER_DEVICE_SERIAL_LINE_H_
#define MASSETER_DEVICE_SERIAL_LINE_H_

#include <string>

#include "core/base/error.h"

namespace masseter {

// Opens `path` at `baud`, 8 data bits, no parity, 1 stop bit, no flow control,
// nothing translated, and returns the descriptor, which the caller closes.
// Opening raises DTR, as the system does for every port; closing does not drop
// it, so that a board which resets on a DTR edge is not reset once more.
// Other programs that take the customary lock (flock) are kept out.
// Errors: kMachine with `path` in `where` and the cure in `what`.
Expected<int> OpenSerialLine(const std::string& path, int baud);

// The sentence for a serial port that went away with errno `error` (0: end of
// file).
Error LostSerialLine(const std::string& path, int error);

}  // namespace masseter

#endif  // MASSETER_DEVICE_SERIAL_LINE_H_
