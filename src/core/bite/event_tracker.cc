#include "core/bite/event_tracker.h"

#include <algorithm>
#include <cmath>

namespace masseter {
namespace {

constexpr double kOnShare = 0.0025;
constexpr double kMostOnN = 20.0;
constexpr double kOnNoises = 6.0;
constexpr double kOffShareOfPeak = 0.015;
constexpr double kMostOffInOn = 6.0;
// Releases shorter than this stay inside the bite (docs/method.md section 5).
constexpr double kRegripS = 0.4;
// Two seconds in which the force moves by no more than its noise, far below
// the peak, are not a dog.
constexpr double kStillS = 2.0;
// In one channel alone this long is enough.
constexpr double kAloneS = 0.6;
constexpr double kStillNoises = 8.0;
constexpr double kStillShareOfOn = 0.02;
constexpr double kStillShareOfPeak = 0.12;
// Higher up three seconds, as a lone cell's zero does that moved by much; six
// at any level: no dog holds that long without moving at all, a weight or a
// sleeve that leans on something does.
constexpr double kLowRestsS = 3.0;
constexpr double kLowShareOfPeak = 0.4;
constexpr double kCreepShareOfPeak = 0.001;
constexpr double kRestsS = 6.0;
constexpr double kLongestS = 120.0;

double StillBand(const Thresholds& limits, double frame_noise_n) {
  return std::max(kStillNoises * frame_noise_n, kStillShareOfOn * limits.on_n);
}

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
  still_since_.reset();
  creeping_since_.reset();
  one_channel_since_s_ = frame.end_s;
  return Seen::kBegan;
}

void EventTracker::Close(std::uint64_t row, double time_s) {
  active_ = false;
  event_.end_row = row;
  event_.end_s = time_s;
}

// Over the last two seconds far below the peak, or over a shorter while in one
// channel alone.
bool EventTracker::StandsStill(const Thresholds& limits, double frame_noise_n,
                               Level& from) const {
  const double now = recent_.back().t_s;
  const double band = StillBand(limits, frame_noise_n);
  const double low_enough =
      std::max(kStillShareOfPeak * event_.peak_n, 3.0 * limits.on_n);
  double low = recent_.back().force_n;
  double high = low;
  for (std::size_t i = recent_.size(); i-- > 0;) {
    low = std::min(low, recent_[i].force_n);
    high = std::max(high, recent_[i].force_n);
    if (high - low > band) return false;
    from = recent_[i];
    const bool alone = one_channel_since_s_ <= from.t_s;
    if (alone && now - from.t_s >= kAloneS) return true;
  }
  return now - event_.start_s >= kStillS + kRegripS && high < low_enough;
}

bool EventTracker::Rests(const Frame& frame, const FrameLoad& load,
                         const Thresholds& limits, double frame_noise_n,
                         Level& from) {
  if (!load.one_channel) one_channel_since_s_ = frame.end_s;
  recent_.push_back({frame.start_s, frame.first_row, load.sum_n});
  while (recent_.back().t_s - recent_.front().t_s > kStillS) {
    recent_.pop_front();
  }
  const double band = 0.5 * StillBand(limits, frame_noise_n);
  const double creep = std::max(band, kCreepShareOfPeak * event_.peak_n);
  const Level here{frame.start_s, frame.first_row, load.sum_n};
  const auto follow = [&here](std::optional<Level>& since, double within) {
    if (!since || std::abs(here.force_n - since->force_n) > within) {
      since = here;
    }
  };
  follow(still_since_, band);
  follow(creeping_since_, creep);
  if (StandsStill(limits, frame_noise_n, from)) return true;
  if (frame.end_s - event_.start_s > kLongestS) {
    from = recent_.front();
    return true;
  }
  const bool low = load.sum_n < kLowShareOfPeak * event_.peak_n;
  from = low ? *creeping_since_ : *still_since_;
  return frame.end_s - from.t_s > (low ? kLowRestsS : kRestsS);
}

EventTracker::Seen EventTracker::Push(const Frame& frame, double force_n,
                                      const Thresholds& limits,
                                      double frame_noise_n,
                                      std::optional<FrameLoad> load) {
  if (!active_) {
    return force_n > limits.on_n ? Begin(frame, force_n) : Seen::kIdle;
  }
  event_.peak_n = std::max(event_.peak_n, force_n);
  // Six times the threshold at most: a wild channel's peak ends no bite.
  const double off = std::max(
      limits.off_n,
      std::min(kOffShareOfPeak * event_.peak_n, kMostOffInOn * limits.on_n));
  if (force_n >= off) {
    below_.reset();
  } else if (!below_) {
    below_ = Level{frame.start_s, frame.first_row, force_n};
  }
  if (below_ && frame.end_s - below_->t_s >= kRegripS) {
    Close(below_->row, below_->t_s);
    return Seen::kEnded;
  }
  Level from{};
  if (Rests(frame, load.value_or(FrameLoad{force_n, false}), limits,
            frame_noise_n, from)) {
    event_.zero_moved = true;
    Close(from.row, from.t_s);
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
