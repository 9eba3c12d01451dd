// Where bites begin and end, frame by frame: two thresholds with hysteresis,
// set from the noise and the sleeve's range (docs/method.md section 5).
#ifndef MASSETER_CORE_BITE_EVENT_TRACKER_H_
#define MASSETER_CORE_BITE_EVENT_TRACKER_H_

#include <cstdint>
#include <deque>
#include <optional>

#include "core/bite/frame.h"

namespace masseter {

struct Thresholds {
  double on_n = 0.0;   // a frame above this begins a bite
  double off_n = 0.0;  // below this, and below 1.5 % of its peak, it is over
};

// on = max(0.25 % of the range, at most 20 N of a force; 6 frame noises);
// off = half of on.
Thresholds ThresholdsFor(double range_n, bool in_newtons, double frame_noise_n);

// Something that loaded the sleeve, in frames; refined to samples later.
struct LoadEvent {
  std::uint64_t first_row = 0;
  std::uint64_t end_row = 0;  // first row of the first frame after it
  double start_s = 0.0;
  double end_s = 0.0;
  double peak_n = 0.0;  // highest frame
  // The force stood still above the threshold afterwards: the zero moved.
  bool zero_moved = false;
  bool cut = false;  // the capture ended before the force came down
};

// The frame's channels by their gains alone: steadier than the estimator where
// a single cell is pulled, for which no calibration was made.
struct FrameLoad {
  double sum_n = 0.0;
  // The load stands in one of several channels alone, as a zero that moved
  // does and hardly a dog.
  bool one_channel = false;
};

class EventTracker {
 public:
  // What a frame meant.
  enum class Seen { kIdle, kBegan, kActive, kEnded };

  // Without `load` the force stands for it.
  Seen Push(const Frame& frame, double force_n, const Thresholds& limits,
            double frame_noise_n, std::optional<FrameLoad> load = {});
  // The capture ends here.
  Seen Finish();

  bool active() const { return active_; }
  // The event going on, or the one that just ended.
  const LoadEvent& event() const { return event_; }

 private:
  struct Level {
    double t_s;
    std::uint64_t row;
    double force_n;
  };
  Seen Begin(const Frame& frame, double force_n);
  // Looks for a force that stands still; sets where that began.
  bool Rests(const Frame& frame, const FrameLoad& load,
             const Thresholds& limits, double frame_noise_n, Level& from);
  bool StandsStill(const Thresholds& limits, double frame_noise_n,
                   Level& from) const;
  void Close(std::uint64_t row, double time_s);

  bool active_ = false;
  LoadEvent event_;
  std::optional<Level> below_;  // first frame of the present stretch below off
  std::deque<Level> recent_;    // the last two seconds of the event
  // Since when the force has stayed within a band, whatever its level.
  std::optional<Level> still_since_;
  // The same with a band that lets the sleeve creep.
  std::optional<Level> creeping_since_;
  double one_channel_since_s_ = 0.0;
};

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_EVENT_TRACKER_H_
