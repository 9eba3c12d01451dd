#include "cli/stop_signal.h"

#include <signal.h>

#include <chrono>
#include <thread>

namespace masseter::cli {
namespace {

std::atomic<bool> g_stop{false};
static_assert(std::atomic<bool>::is_always_lock_free);

void Stop(int) { g_stop = true; }

}  // namespace

const std::atomic<bool>& WatchStopSignals() {
  struct sigaction action {};
  action.sa_handler = Stop;
  action.sa_flags = static_cast<int>(SA_RESETHAND);
  sigaction(SIGINT, &action, nullptr);
  sigaction(SIGTERM, &action, nullptr);
  return g_stop;
}

void WaitForStopSignal() {
  while (!g_stop) std::this_thread::sleep_for(std::chrono::milliseconds(100));
}

}  // namespace masseter::cli
