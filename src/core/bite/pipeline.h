// One pipeline for live and import: raw blocks in, bites out. Streaming and
// causal; a bite is measured once it has ended and the zero after it has been
// seen (1.2 s), the next one begins, or the capture ends. However a capture is
// cut into blocks, the same bites come out.
//
// Thread rule: one thread at a time.
#ifndef MASSETER_CORE_BITE_PIPELINE_H_
#define MASSETER_CORE_BITE_PIPELINE_H_

#include <deque>
#include <functional>
#include <optional>

#include "core/bite/despike.h"
#include "core/bite/event_tracker.h"
#include "core/bite/force_model.h"
#include "core/bite/inertia.h"
#include "core/bite/measure.h"
#include "core/bite/sample_window.h"
#include "core/bite/zero_tracker.h"
#include "core/rig/rig.h"
#include "core/signal/raw_block.h"
#include "core/signal/timeline.h"

namespace masseter {

// The version of the method; every stored bite names it.
inline constexpr const char* kMethodVersion = "3";

enum class ZeroState { kWait, kFollowed, kMoved };

// Twenty milliseconds of force, for the page.
struct FrameView {
  double start_s = 0.0;
  double end_s = 0.0;
  double force_n = 0.0;  // mean
  double low_n = 0.0;
  double high_n = 0.0;
  bool broken = false;  // samples are missing in or before it
  ZeroState zero = ZeroState::kWait;
  // The bite going on, or nothing.
  bool active = false;
  double bite_start_s = 0.0;
  double peak_so_far_n = 0.0;
  std::optional<double> squeeze_so_far_n;  // highest mean over 0.24 s so far
  std::optional<double> supply_mv;
};

struct PipelineEvents {
  std::function<void(MeasuredBite&&)> on_bite;
  std::function<void(const FrameView&)> on_frame;  // may be empty
  // The zero that holds in samples [first, first + count), each sample once
  // and in order; those behind the last whole frame are not told. May be empty.
  std::function<void(std::uint64_t first, std::uint64_t count,
                     const ChannelValues& zero)>
      on_zero;
};

class Pipeline {
 public:
  Pipeline(const Rig& rig, const Calibration* calibration,
           PipelineEvents events);
  // The zero tracker looks at the model beside it: no copies, no moves.
  Pipeline(const Pipeline&) = delete;
  Pipeline& operator=(const Pipeline&) = delete;

  void Push(const RawBlock& block);
  // The capture ends: what is under way is measured with what there is.
  void Finish();
  // Takes the zero anew from the first frame that begins at or after `t_s`
  // and in which nobody bites: the operator's own zero. Given as a time, so
  // that a replay does the same at the same sample.
  void SeekZeroAt(double t_s);
  // From now on each bite carries its steps from a plain read-out.
  void KeepSteps() { keep_steps_ = true; }

  const TimelineReport& timeline() const { return timeline_.report(); }
  const ForceModel& model() const { return model_; }
  double sample_noise_n() const { return zero_.sample_noise_n(); }

 private:
  void TakeFrames(std::uint64_t end);
  void TakeFrame(const Frame& frame);
  void Handle(const Frame& frame);
  void Idle(const Frame& frame, double force_n);
  void WatchBelow(const Frame& frame, double force_n);
  bool ZeroAsked(const Frame& frame);
  void Began();
  void Ended(const Frame* frame);
  void RestartZeroFrom(std::uint64_t first, const Frame& last);
  void MeasurePending();
  void ShowFrame(const Frame& frame, double force_n);
  void ReleaseRows(const Frame& frame);
  Thresholds Limits() const;

  Rig rig_;
  ForceModel model_;
  PipelineEvents events_;
  Timeline timeline_;
  SampleWindow window_;
  Despiker despiker_;
  ZeroTracker zero_;
  InertiaFit inertia_;
  EventTracker tracker_;
  std::uint64_t frame_rows_;
  std::uint64_t next_row_ = 0;  // first row of the next frame
  std::deque<Frame> waiting_;   // frames seen before the zero is known
  std::optional<ZeroEstimate> zero_before_;
  std::optional<EventContext> pending_;  // ended, waits for its zero after
  int frames_below_ = 0;
  bool zero_moved_ = false;
  bool keep_steps_ = false;
  std::deque<double> zero_asked_s_;
  FrameView view_;
  std::deque<double> last_forces_;
};

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_PIPELINE_H_
