// `demo`: an invented club's day, from the bench to the bites, over the way
// that a real sleeve goes: a serial line.
#ifndef MASSETER_APP_DEMO_DAY_H_
#define MASSETER_APP_DEMO_DAY_H_

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>

#include "app/live_hub.h"
#include "app/record.h"
#include "core/base/error.h"
#include "core/metrology/calibration.h"

namespace masseter {

// What the scenario says of itself.
struct DemoFacts {
  std::string club;
  std::string rig;
  std::size_t dogs = 0;
  std::size_t bites = 0;
  double length_s = 0.0;
  Calibration calibration;
};

// Makes a logbook at `path`: the simulated sleeve's rig file, calibrated from
// its bench readings.
Expected<DemoFacts> MakeDemoBook(const std::string& path, std::uint64_t seed);

// A new folder for a logbook nobody asked to keep, under $TMPDIR or /tmp.
Expected<std::string> MakeDemoFolder();

struct DemoRequest {
  std::string book_path;  // made by MakeDemoBook with the same seed
  std::uint64_t seed = 0;
  double speed = 1.0;  // times real time
  std::function<void(const std::string&)> say;
  std::function<void(const Bite&)> on_bite;
  const std::atomic<bool>* stop = nullptr;  // must be given
};

// Plays the day into a pseudo-terminal and records it from there. Returns at
// the day's end or when `stop` is set.
Expected<RecordAnswer> RecordDemoDay(const DemoRequest& request, LiveHub& hub);

}  // namespace masseter

#endif  // MASSETER_APP_DEMO_DAY_H_
