#include "core/bite/pipeline.h"

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>

namespace masseter {
namespace {

constexpr double kZeroBeforeS = 2.0;    // quiet looked at before a bite
constexpr double kClearOfBiteS = 0.06;  // and kept clear of its onset
constexpr double kZeroAfterS = 1.2;
constexpr double kSettleS = 0.15;  // release and bounce
constexpr double kKeepS = 4.0;
constexpr std::uint64_t kReleaseRows = 8192;  // fewer are not worth the work
constexpr int kLeastZeroFrames = 5;
constexpr std::size_t kMostWaiting = 500;  // 10 s of frames without a zero
constexpr int kBelowFrames = 15;           // 0.3 s
constexpr std::size_t kSqueezeFrames = 12;
constexpr double kStrikeS = 0.20;

}  // namespace

Pipeline::Pipeline(const Rig& rig, const Calibration* calibration,
                   PipelineEvents events)
    : rig_(rig),
      model_(MakeForceModel(rig, calibration)),
      events_(std::move(events)),
      timeline_(rig),
      despiker_(rig, model_),
      zero_(model_),
      inertia_(rig.moving_mass ? std::optional(rig.moving_mass->si())
                               : std::nullopt),
      frame_rows_(FrameRows(rig.sample_rate_hz)) {}

Thresholds Pipeline::Limits() const {
  return ThresholdsFor(model_.range_n, model_.in_newtons,
                       zero_.frame_noise_n());
}

void Pipeline::Push(const RawBlock& block) {
  timeline_.Push(block, window_.block());
  TakeFrames(despiker_.Clean(window_));
}

// Frames of rows below `end`.
void Pipeline::TakeFrames(std::uint64_t end) {
  while (next_row_ + frame_rows_ <= end) {
    const Frame frame = MakeFrame(window_, next_row_, frame_rows_);
    next_row_ += frame_rows_;
    TakeFrame(frame);
  }
}

void Pipeline::TakeFrame(const Frame& frame) {
  if (!zero_.found()) {
    waiting_.push_back(frame);
    const bool found = zero_.Seek(frame);
    if (!found && waiting_.size() >= kMostWaiting) zero_.Settle();
    if (!zero_.found()) {
      ShowFrame(frame, 0.0);
      return;
    }
    while (!waiting_.empty()) {
      const Frame next = waiting_.front();
      waiting_.pop_front();
      Handle(next);
    }
    return;
  }
  Handle(frame);
}

void Pipeline::Handle(const Frame& frame) {
  const double force = zero_.FrameForce(frame);
  if (events_.on_zero) {
    events_.on_zero(frame.first_row, frame.rows, zero_.value());
  }
  switch (tracker_.Push(
      frame, force, Limits(), zero_.frame_noise_n(),
      tracker_.active() ? std::optional(zero_.Load(frame)) : std::nullopt)) {
    case EventTracker::Seen::kIdle:
      Idle(frame, force);
      break;
    case EventTracker::Seen::kBegan:
      Began();
      break;
    case EventTracker::Seen::kActive:
      break;
    case EventTracker::Seen::kEnded:
      Ended(&frame);
      break;
  }
  ShowFrame(frame, force);
  ReleaseRows(frame);
}

void Pipeline::Idle(const Frame& frame, double force_n) {
  if (ZeroAsked(frame)) return;
  WatchBelow(frame, force_n);
  const bool settled =
      !pending_ || frame.start_s >= pending_->event.end_s + kSettleS;
  if (settled) zero_.AddQuiet(frame);
  if (settled && frame.has_accel && !frame.broken && model_.in_newtons) {
    inertia_.Push(frame.accel_g, force_n, zero_.frame_noise_n());
  }
  if (pending_ && frame.end_s >= pending_->event.end_s + kZeroAfterS) {
    MeasurePending();
  }
}

// A force far below zero for a while: the zero was taken under load or moved.
void Pipeline::WatchBelow(const Frame& frame, double force_n) {
  frames_below_ = force_n < -Limits().on_n ? frames_below_ + 1 : 0;
  if (frames_below_ < kBelowFrames) return;
  frames_below_ = 0;
  zero_moved_ = true;
  zero_.Forget(frame.start_s);
  zero_.Restart(frame);
}

void Pipeline::Began() {
  MeasurePending();
  frames_below_ = 0;
  const double start = tracker_.event().start_s;
  zero_before_ = zero_.Between(start - kZeroBeforeS, start - kClearOfBiteS,
                               kLeastZeroFrames);
  if (!zero_before_) {
    ZeroEstimate standing;
    standing.value = zero_.value();
    standing.at_s = start;
    standing.frames = 1;
    zero_before_ = standing;
  }
  view_.peak_so_far_n = 0.0;
  view_.squeeze_so_far_n.reset();
  last_forces_.clear();
}

void Pipeline::Ended(const Frame* frame) {
  EventContext context;
  context.event = tracker_.event();
  context.zeros.before = *zero_before_;
  context.zeros.start_s = context.event.start_s;
  context.zeros.end_s = context.event.cut && frame == nullptr
                            ? timeline_.report().last_s
                            : context.event.end_s;
  context.limits = Limits();
  context.sample_noise_n = zero_.sample_noise_n();
  context.frame_noise_n = zero_.frame_noise_n();
  context.period_s = 1.0 / rig_.sample_rate_hz;
  context.spikes = &despiker_.spikes();
  if (window_.has_acceleration() && model_.in_newtons) {
    context.inertia = inertia_.Fit(zero_before_->accel_g);
  }
  context.steps = keep_steps_;
  if (context.event.cut) {
    context.event.end_row = window_.end_row();
    context.event.end_s = timeline_.report().last_s;
  }
  if (context.event.zero_moved && frame != nullptr) {
    RestartZeroFrom(context.event.end_row, *frame);
  }
  pending_ = context;
}

// The force stood still from row `first` to `last`: that is the zero now.
void Pipeline::RestartZeroFrom(std::uint64_t first, const Frame& last) {
  zero_moved_ = true;
  zero_.Restart(MakeFrame(window_, first, frame_rows_));
  for (std::uint64_t row = first + frame_rows_;
       row + frame_rows_ <= last.first_row + last.rows; row += frame_rows_) {
    zero_.AddQuiet(MakeFrame(window_, row, frame_rows_));
  }
}

void Pipeline::MeasurePending() {
  if (!pending_) return;
  EventContext context = *pending_;
  pending_.reset();
  const double end = context.event.end_s;
  const double now = window_.Time(
      next_row_ > window_.first_row() ? next_row_ - 1 : window_.first_row());
  const double until =
      tracker_.active() ? tracker_.event().start_s - kClearOfBiteS : now;
  context.zeros.after =
      zero_.Between(end + kSettleS, std::min(until, end + kZeroAfterS + 1.0),
                    kLeastZeroFrames);
  context.zeros.end_s = end;
  auto bite = MeasureBite(rig_, model_, window_, context);
  if (bite && events_.on_bite) events_.on_bite(std::move(*bite));
}

void Pipeline::Finish() {
  TakeFrames(window_.end_row());
  if (!zero_.found() && zero_.Settle()) {
    while (!waiting_.empty()) {
      const Frame next = waiting_.front();
      waiting_.pop_front();
      Handle(next);
    }
  }
  // The last samples do not fill a frame; they count all the same.
  if (next_row_ < window_.end_row() && zero_.found()) {
    const Frame rest =
        MakeFrame(window_, next_row_, window_.end_row() - next_row_);
    next_row_ = window_.end_row();
    Handle(rest);
  }
  if (tracker_.Finish() == EventTracker::Seen::kEnded) Ended(nullptr);
  MeasurePending();
}

void Pipeline::SeekZeroAt(double t_s) { zero_asked_s_.push_back(t_s); }

bool Pipeline::ZeroAsked(const Frame& frame) {
  if (zero_asked_s_.empty() || frame.start_s < zero_asked_s_.front()) {
    return false;
  }
  zero_asked_s_.pop_front();
  zero_moved_ = false;
  frames_below_ = 0;
  zero_.Forget(frame.start_s);
  zero_.Restart(frame);
  return true;
}

void Pipeline::ShowFrame(const Frame& frame, double force_n) {
  if (!events_.on_frame) return;
  view_.start_s = frame.start_s;
  view_.end_s = frame.end_s;
  view_.force_n = force_n;
  view_.broken = frame.broken;
  view_.active = tracker_.active();
  view_.bite_start_s = tracker_.event().start_s;
  view_.zero = !zero_.found() ? ZeroState::kWait
               : zero_moved_  ? ZeroState::kMoved
                              : ZeroState::kFollowed;
  view_.low_n = view_.high_n = force_n;
  if (zero_.found()) {
    const std::size_t m = model_.estimator.channels();
    std::vector<double> v(m);
    for (auto r = frame.first_row; r < frame.first_row + frame.rows; ++r) {
      for (std::size_t c = 0; c < m; ++c) {
        v[c] = window_.Signal(c, r) - zero_.value()[c];
      }
      const double f = model_.estimator.Force(v);
      view_.low_n = std::min(view_.low_n, f);
      view_.high_n = std::max(view_.high_n, f);
    }
  }
  if (window_.has_supply()) view_.supply_mv = window_.Supply(frame.first_row);
  if (view_.active) {
    view_.peak_so_far_n = std::max(view_.peak_so_far_n, view_.high_n);
    if (frame.start_s >= view_.bite_start_s + kStrikeS && !frame.broken) {
      last_forces_.push_back(force_n);
      if (last_forces_.size() > kSqueezeFrames) last_forces_.pop_front();
      if (last_forces_.size() == kSqueezeFrames) {
        double sum = 0.0;
        for (const double f : last_forces_) sum += f;
        const double mean = sum / static_cast<double>(kSqueezeFrames);
        view_.squeeze_so_far_n =
            std::max(view_.squeeze_so_far_n.value_or(mean), mean);
      }
    } else if (frame.broken) {
      last_forces_.clear();
    }
  }
  events_.on_frame(view_);
}

void Pipeline::ReleaseRows(const Frame& frame) {
  if (frame.first_row < window_.first_row() + kReleaseRows) return;
  double keep_from = frame.start_s - kKeepS;
  if (tracker_.active()) {
    keep_from = std::min(keep_from, tracker_.event().start_s - kKeepS);
  }
  if (pending_) {
    keep_from = std::min(keep_from, pending_->event.start_s - kKeepS);
  }
  zero_.Forget(keep_from);
  // Times never decrease, so the row can be found by halving.
  std::uint64_t low = window_.first_row();
  std::uint64_t high = frame.first_row;
  if (low >= high || window_.Time(low) >= keep_from) return;
  while (low < high) {
    const std::uint64_t middle = low + (high - low) / 2;
    if (window_.Time(middle) < keep_from) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  if (!waiting_.empty()) low = std::min(low, waiting_.front().first_row);
  despiker_.Forget(low);
  window_.Release(low);
}

}  // namespace masseter
