#include "app/sleeve_watch.h"

#include <algorithm>

#include "core/bite/event_tracker.h"

namespace masseter {
namespace {

// Drops what is older than `keep_s`, but not at every block.
void DropOld(SampleBlock& samples, double keep_s) {
  if (samples.size() == 0) return;
  const double last = samples.t_s.back();
  if (last - samples.t_s.front() < 1.25 * keep_s) return;
  const auto keep =
      std::lower_bound(samples.t_s.begin(), samples.t_s.end(), last - keep_s) -
      samples.t_s.begin();
  const auto drop = [keep](auto& values) {
    if (!values.empty()) values.erase(values.begin(), values.begin() + keep);
  };
  drop(samples.t_s);
  drop(samples.before);
  for (auto& channel : samples.channel) drop(channel);
  drop(samples.supply_mv);
  for (auto& axis : samples.accel_g) drop(axis);
}

}  // namespace

SleeveWatch::SleeveWatch(const Rig& rig, const Calibration* calibration)
    : rig_(rig),
      calibration_(calibration),
      model_(MakeForceModel(rig, calibration)),
      timeline_(rig) {}

void SleeveWatch::Push(const RawBlock& block) {
  if (block.rows == 0) return;
  timeline_.Push(block, samples_);
  DropOld(samples_, kLoadS);
  raw_.push_back({block, timeline_.report().last_s});
  const double since = timeline_.report().last_s - kHealthS;
  while (raw_.size() > 1 && raw_.front().end_s < since) raw_.pop_front();
}

std::optional<CaptureHealth> SleeveWatch::Health() const {
  if (timeline_.report().last_s < kLeastS) return std::nullopt;
  HealthMeter meter(rig_, calibration_);
  for (const Piece& piece : raw_) meter.Push(piece.block);
  return meter.Finish(0);
}

std::optional<ZeroWander> SleeveWatch::Zero() const {
  if (samples_.size() == 0) return std::nullopt;
  const double on = ThresholdsFor(model_.range_n, model_.in_newtons, 0.0).on_n;
  ZeroWander out;
  out.in_newtons = model_.in_newtons;
  out.limit = 0.25 * on / (model_.in_newtons ? 1.0 : model_.range_n);
  double low = 0.0;
  double high = 0.0;
  std::size_t end = samples_.size();
  for (int second = 1; second <= static_cast<int>(kHealthS); ++second) {
    const double from = samples_.t_s.back() - second;
    if (samples_.t_s.front() > from) break;
    double sum = 0.0;
    std::size_t i = end;
    for (; i > 0 && samples_.t_s[i - 1] > from; --i) {
      for (std::size_t c = 0; c < samples_.channel.size(); ++c) {
        sum += model_.estimator.gain[c] * samples_.channel[c][i - 1];
      }
    }
    if (i == end) break;
    const double mean = sum / static_cast<double>(end - i);
    const double lowest = second == 1 ? mean : std::min(low, mean);
    const double highest = second == 1 ? mean : std::max(high, mean);
    if (highest - lowest > on) break;
    low = lowest;
    high = highest;
    out.seconds = second;
    end = i;
  }
  if (out.seconds < kStillS) return std::nullopt;
  out.wander = (high - low) / (model_.in_newtons ? 1.0 : model_.range_n);
  return out;
}

Expected<CheckWindows> SleeveWatch::Load() const {
  if (calibration_ == nullptr) {
    return BadInput("", "there is no calibration to check; calibrate first");
  }
  return FindCheckWindows(*calibration_, samples_, SettleRule{});
}

void SleeveWatch::LoadTaken() { samples_ = SampleBlock{}; }

}  // namespace masseter
