// The simulated device at work: prints the day's samples as text lines, as
// far as the caller's clock has come. There is no clock in here: the same
// sleeve, day and seed print the same bytes however the calls are cut.
#ifndef MASSETER_DEVICE_SIM_STREAM_H_
#define MASSETER_DEVICE_SIM_STREAM_H_

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "core/base/error.h"
#include "device/sim/day.h"
#include "device/sim/sleeve.h"
#include "device/sim/truth.h"

namespace masseter::sim {

// One sample as it truly was, whether or not its line arrived whole.
struct SimSample {
  double day_s = 0.0;
  double capture_s = 0.0;  // by the sample's own time stamp
  double true_force_n = 0.0;
  bool whole = true;  // printed, and as one unbroken line
};

struct StreamOptions {
  bool header = true;  // the first line names the columns
  std::function<void(const SimSample&)> on_sample;  // may be empty
};

// One object belongs to one thread.
class SimStream {
 public:
  SimStream(SimSleeve sleeve, SimDay day, std::uint64_t seed,
            StreamOptions options = {});
  ~SimStream();

  // The lines of all samples up to `day_s` that were not handed out before;
  // every line ends with LF. Empty when nothing is due.
  std::string Next(double day_s);
  // True once the whole day has been handed out.
  bool done() const;

  const SimSleeve& sleeve() const;
  const SimDay& day() const;
  // Day time <-> capture time of what has been printed so far.
  const TimeMap& time_map() const;
  // Complete once done(); before that, bites still to come are listed with
  // the times they will have if the power stays on.
  Truth MakeTruth() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

// Plays a stream at a pace the caller gives: `wait_until(day_s)` returns when
// that much of the day has passed, false to stop early; `sink` takes the text
// and may fail, which ends the play with its error. Lines go out `step_s` of
// the day at a time.
Expected<void> PlayDay(
    SimStream& stream, double step_s,
    const std::function<bool(double day_s)>& wait_until,
    const std::function<Expected<void>(std::string_view)>& sink);

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_STREAM_H_
