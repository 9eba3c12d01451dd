// Ctrl-C and `kill`: a wish to end in good order, not a death.
#ifndef MASSETER_CLI_STOP_SIGNAL_H_
#define MASSETER_CLI_STOP_SIGNAL_H_

#include <atomic>

namespace masseter::cli {

// From here on the first SIGINT or SIGTERM only sets the flag; a second one
// ends the program at once.
const std::atomic<bool>& WatchStopSignals();

// Sleeps until the flag of WatchStopSignals is set.
void WaitForStopSignal();

}  // namespace masseter::cli

#endif  // MASSETER_CLI_STOP_SIGNAL_H_
