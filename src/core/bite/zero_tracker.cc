#include "core/bite/zero_tracker.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "core/signal/robust.h"

namespace masseter {
namespace {

constexpr std::size_t kMedianFrames = 151;     // 3 s
constexpr std::size_t kSeekFrames = 25;        // 0.5 s
constexpr std::size_t kNoiseFrames = 201;      // 4 s
constexpr std::size_t kMostSeekFrames = 3000;  // 60 s
// Steady, while seeking: frames within this share of the full range.
constexpr double kSteadyShare = 0.002;
constexpr double kOneChannelShare = 0.8;

}  // namespace

ZeroTracker::ZeroTracker(const ForceModel& model)
    : model_(model), frame_move_(kNoiseFrames) {
  for (std::size_t c = 0; c < model.estimator.channels(); ++c) {
    median_.emplace_back(kMedianFrames);
  }
}

ChannelValues ZeroTracker::Above(const ChannelValues& values) const {
  ChannelValues v{};
  for (std::size_t c = 0; c < model_.estimator.channels(); ++c) {
    v[c] = values[c] - zero_[c];
  }
  return v;
}

double ZeroTracker::FrameForce(const Frame& frame) const {
  const ChannelValues v = Above(frame.mean);
  return model_.estimator.Force(
      std::span(v.data(), model_.estimator.channels()));
}

FrameLoad ZeroTracker::Load(const Frame& frame) const {
  const std::size_t m = model_.estimator.channels();
  const ChannelValues v = Above(frame.mean);
  FrameLoad out;
  double most = 0.0;
  double size = 0.0;
  for (std::size_t c = 0; c < m; ++c) {
    const double p = model_.estimator.gain[c] * v[c];
    out.sum_n += p;
    size += std::abs(p);
    most = std::max(most, std::abs(p));
  }
  out.one_channel = m >= 2 && most > kOneChannelShare * size;
  return out;
}

bool ZeroTracker::Seek(const Frame& frame) {
  if (lowest_.size() < kMostSeekFrames) lowest_.push_back(frame);
  seek_.push_back(frame);
  if (seek_.size() < kSeekFrames) return false;
  if (seek_.size() > kSeekFrames) seek_.pop_front();
  // Frame forces against the stretch's first frame.
  zero_ = seek_.front().mean;
  double low = 0.0;
  double high = 0.0;
  double noise = 0.0;
  for (const Frame& f : seek_) {
    const double force = FrameForce(f);
    low = std::min(low, force);
    high = std::max(high, force);
    for (std::size_t c = 0; c < model_.estimator.channels(); ++c) {
      const double g = model_.estimator.gain[c];
      noise += g * g * f.noise_variance[c] /
               static_cast<double>(f.rows * seek_.size());
    }
  }
  const double steady =
      std::max(kSteadyShare * model_.range_n, 8.0 * std::sqrt(noise));
  if (high - low > steady) return false;
  found_ = true;
  for (const Frame& f : seek_) AddQuiet(f);
  seek_.clear();
  lowest_.clear();
  return true;
}

bool ZeroTracker::Settle() {
  if (found_ || lowest_.empty()) return found_;
  zero_ = lowest_.front().mean;
  std::sort(lowest_.begin(), lowest_.end(),
            [this](const Frame& a, const Frame& b) {
              return FrameForce(a) < FrameForce(b);
            });
  const std::size_t n = std::max<std::size_t>(1, lowest_.size() / 10);
  found_ = true;
  std::vector<Frame> low(lowest_.begin(),
                         lowest_.begin() + static_cast<std::ptrdiff_t>(n));
  zero_ = low[n / 2].mean;
  std::sort(low.begin(), low.end(), [](const Frame& a, const Frame& b) {
    return a.first_row < b.first_row;
  });
  for (const Frame& f : low) AddQuiet(f);
  lowest_.clear();
  seek_.clear();
  return true;
}

void ZeroTracker::KeepVariance(double variance) {
  if (sample_variance_.size() < kNoiseFrames) {
    sample_variance_.push_back(variance);
    return;
  }
  sample_variance_[oldest_variance_] = variance;
  oldest_variance_ = (oldest_variance_ + 1) % kNoiseFrames;
}

// Asked for a few times a bite: the median is taken then, not with each frame.
double ZeroTracker::sample_noise_n() const {
  if (sample_variance_.empty()) return frame_noise_n_;
  return std::sqrt(Median(sample_variance_));
}

void ZeroTracker::LearnNoise(const Frame& frame) {
  if (frame.broken) {
    last_force_.reset();
    return;
  }
  double variance = 0.0;
  for (std::size_t c = 0; c < model_.estimator.channels(); ++c) {
    const double g = model_.estimator.gain[c];
    variance += g * g * frame.noise_variance[c];
  }
  if (frame.rows > 1) KeepVariance(variance);
  const double force = FrameForce(frame);
  if (last_force_) {
    // Differences of neighbours: their sd is root 2 of a frame's own.
    const double move = frame_move_.Push(std::abs(force - *last_force_));
    frame_noise_n_ = kMadToSd * move / std::sqrt(2.0);
  }
  last_force_ = force;
}

void ZeroTracker::AddQuiet(const Frame& frame) {
  for (std::size_t c = 0; c < median_.size(); ++c) {
    zero_[c] = median_[c].Push(frame.mean[c]);
  }
  LearnNoise(frame);
  quiet_.push_back(frame);
}

void ZeroTracker::Restart(const Frame& frame) {
  for (RecentMedian& median : median_) median.Clear();
  last_force_.reset();
  zero_ = frame.mean;
  AddQuiet(frame);
}

std::optional<ZeroEstimate> ZeroTracker::Between(double from_s, double to_s,
                                                 int least) const {
  std::vector<const Frame*> frames;
  for (const Frame& f : std::span(quiet_).subspan(gone_)) {
    if (f.start_s >= from_s && f.end_s <= to_s) frames.push_back(&f);
  }
  if (static_cast<int>(frames.size()) < least) return std::nullopt;
  ZeroEstimate out;
  std::vector<double> values(frames.size());
  for (std::size_t c = 0; c < median_.size(); ++c) {
    for (std::size_t i = 0; i < frames.size(); ++i) {
      values[i] = frames[i]->mean[c];
    }
    out.value[c] = MedianInPlace(values);
  }
  out.at_s = frames[frames.size() / 2]->start_s;
  out.frames = static_cast<int>(frames.size());
  if (frames.front()->has_accel) {
    out.accel_g.emplace();
    for (const Frame* frame : frames) {
      for (std::size_t k = 0; k < 3; ++k) {
        (*out.accel_g)[k] +=
            frame->accel_g[k] / static_cast<double>(frames.size());
      }
    }
  }
  return out;
}

void ZeroTracker::Forget(double t_s) {
  while (gone_ < quiet_.size() && quiet_[gone_].end_s < t_s) ++gone_;
  if (2 * gone_ < quiet_.size()) return;
  quiet_.erase(quiet_.begin(),
               quiet_.begin() + static_cast<std::ptrdiff_t>(gone_));
  gone_ = 0;
}

}  // namespace masseter
