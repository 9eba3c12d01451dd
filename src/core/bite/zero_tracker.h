// The unloaded signal of every channel, followed through quiet stretches by a
// robust running median, and the noise around it.
#ifndef MASSETER_CORE_BITE_ZERO_TRACKER_H_
#define MASSETER_CORE_BITE_ZERO_TRACKER_H_

#include <array>
#include <cstdint>
#include <deque>
#include <optional>
#include <vector>

#include "core/bite/event_tracker.h"
#include "core/bite/force_model.h"
#include "core/bite/frame.h"
#include "core/signal/recent_median.h"

namespace masseter {

using ChannelValues = std::array<double, kMaxChannels>;

// Zero of every channel over a stretch, and how sure it is.
struct ZeroEstimate {
  ChannelValues value{};
  double at_s = 0.0;  // middle of the quiet frames behind it
  int frames = 0;     // quiet frames behind it
  std::optional<std::array<double, 3>> accel_g;  // mean over them
};

class ZeroTracker {
 public:
  explicit ZeroTracker(const ForceModel& model);

  // False until half a second of steady frames has been seen.
  bool found() const { return found_; }
  const ChannelValues& value() const { return zero_; }

  // Offers a frame before the zero is known. Returns true when it is found
  // with this frame.
  bool Seek(const Frame& frame);
  // The best guess when a capture ends before half a second was steady: the
  // lowest frames seen. False when there were none.
  bool Settle();
  // Takes a frame in which nobody bites.
  void AddQuiet(const Frame& frame);
  // The zero moved: starts again from this frame's level.
  void Restart(const Frame& frame);

  // Force of a frame above the present zero.
  double FrameForce(const Frame& frame) const;

  // The frame's channels above the present zero, by their gains.
  FrameLoad Load(const Frame& frame) const;

  // Standard deviation of a single sample's force and of a frame's, newtons,
  // from quiet stretches.
  double sample_noise_n() const;
  double frame_noise_n() const { return frame_noise_n_; }

  // Median over the quiet frames that lie within [from_s, to_s]; nullopt when
  // fewer than `least` do.
  std::optional<ZeroEstimate> Between(double from_s, double to_s,
                                      int least) const;
  // Quiet frames older than `t_s` may go (the median keeps its own window).
  void Forget(double t_s);

 private:
  void LearnNoise(const Frame& frame);
  void KeepVariance(double variance);
  double NoiseFloor() const;
  ChannelValues Above(const ChannelValues& values) const;

  const ForceModel& model_;
  bool found_ = false;
  ChannelValues zero_{};
  std::vector<RecentMedian> median_;
  std::vector<Frame> quiet_;             // recent quiet frames, from gone_ on
  std::size_t gone_ = 0;                 // of these, no longer asked for
  std::deque<Frame> seek_;               // the last half second while seeking
  std::vector<Frame> lowest_;            // every frame seen while seeking
  std::vector<double> sample_variance_;  // of the last quiet frames, a ring
  std::size_t oldest_variance_ = 0;
  RecentMedian frame_move_;
  std::optional<double> last_force_;
  double frame_noise_n_ = 0.0;
};

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_ZERO_TRACKER_H_
