#include "core/bite/event_tracker.h"

#include <algorithm>
#include <cmath>

namespace masseter {
namespace {

constexpr double kOnShare = 0.0025;
constexpr double kMostOnN = 20.0;
constexpr double kOnNoises = 6.0;
constexpr double kOffShareOfPeak = 0.015;
// Releases shorter than this stay inside the bite (docs/method.md section 5).
constexpr double kRegripS = 0.4;
// Two seconds in which the force moves by no more than its noise, far below
// the peak, are not a dog.
constexpr double kStillS = 2.0;
constexpr double kStillNoises = 8.0;
constexpr double kStillShareOfOn = 0.02;
constexpr double kStillShareOfPeak = 0.12;
constexpr double kLongestS = 120.0;

}  // namespace

Thresholds ThresholdsFor(double range_n, bool in_newtons,
                         double frame_noise_n) {
  double on = kOnShare * range_n;
  if (in_newtons) on = std::min(on, kMostOnN);
  on = std::max(on, kOnNoises * frame_noise_n);
  return {on, 0.5 * on};
}

EventTracker::Seen EventTracker::Begin(const Frame& frame, double force_n) {
  active_ = true;
  event_ = {};
  event_.first_row = frame.first_row;
  event_.start_s = frame.start_s;
  event_.peak_n = force_n;
  below_.reset();
  recent_.clear();
  return Seen::kBegan;
}

void EventTracker::Close(std::uint64_t row, double time_s) {
  active_ = false;
  event_.end_row = row;
  event_.end_s = time_s;
}

bool EventTracker::StandsStill(const Frame& frame, double force_n,
                               const Thresholds& limits, double frame_noise_n) {
  recent_.push_back({frame.start_s, frame.first_row, force_n});
  while (recent_.back().t_s - recent_.front().t_s > kStillS) {
    recent_.pop_front();
  }
  if (recent_.back().t_s - event_.start_s < kStillS + kRegripS) return false;
  double low = force_n;
  double high = force_n;
  for (const Level& level : recent_) {
    low = std::min(low, level.force_n);
    high = std::max(high, level.force_n);
  }
  const double still =
      std::max(kStillNoises * frame_noise_n, kStillShareOfOn * limits.on_n);
  return high - low <= still &&
         high < std::max(kStillShareOfPeak * event_.peak_n, 3.0 * limits.on_n);
}

EventTracker::Seen EventTracker::Push(const Frame& frame, double force_n,
                                      const Thresholds& limits,
                                      double frame_noise_n) {
  if (!active_) {
    return force_n > limits.on_n ? Begin(frame, force_n) : Seen::kIdle;
  }
  event_.peak_n = std::max(event_.peak_n, force_n);
  const double off = std::max(limits.off_n, kOffShareOfPeak * event_.peak_n);
  if (force_n >= off) {
    below_.reset();
  } else if (!below_) {
    below_ = Level{frame.start_s, frame.first_row, force_n};
  }
  if (below_ && frame.end_s - below_->t_s >= kRegripS) {
    Close(below_->row, below_->t_s);
    return Seen::kEnded;
  }
  if (StandsStill(frame, force_n, limits, frame_noise_n) ||
      frame.end_s - event_.start_s > kLongestS) {
    event_.zero_moved = true;
    Close(recent_.front().row, recent_.front().t_s);
    return Seen::kEnded;
  }
  return Seen::kActive;
}

EventTracker::Seen EventTracker::Finish() {
  if (!active_) return Seen::kIdle;
  if (below_) {
    Close(below_->row, below_->t_s);
  } else {
    event_.cut = true;
    active_ = false;
  }
  return Seen::kEnded;
}

}  // namespace masseter
