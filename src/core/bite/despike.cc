#include "core/bite/despike.h"

#include <algorithm>
#include <cmath>

namespace masseter {
namespace {

constexpr double kSlowestHz = 400.0;
constexpr double kShareOfRange = 0.02;
constexpr double kTimesNeighbours = 8.0;

}  // namespace

Despiker::Despiker(const Rig& rig, const ForceModel& model)
    : fast_enough_(rig.sample_rate_hz >= kSlowestHz && model.range_n > 0.0),
      gain_(model.estimator.gain) {
  for (double& g : gain_) {
    g = std::abs(g);
    limit_.push_back(kShareOfRange * model.range_n / std::max(g, 1e-300));
  }
}

void Despiker::CleanSample(SampleWindow& window, std::size_t channel,
                           std::uint64_t row) {
  const double a = window.Signal(channel, row - 1);
  const double v = window.Signal(channel, row);
  const double b = window.Signal(channel, row + 1);
  if ((v > a) != (v > b)) return;
  const double off = std::min(std::abs(v - a), std::abs(v - b));
  const double apart = std::abs(b - a);
  if (off <= limit_[channel] || off <= kTimesNeighbours * apart) return;
  window.SetSignal(channel, row, 0.5 * (a + b));
  spikes_.push_back(
      {row, channel, window.Time(row), 0.5 * apart * gain_[channel]});
}

std::uint64_t Despiker::Clean(SampleWindow& window) {
  if (!fast_enough_) return window.end_row();
  while (next_ + 1 < window.end_row()) {
    const bool whole = window.Before(next_) == Break::kNone &&
                       window.Before(next_ + 1) == Break::kNone;
    for (std::size_t c = 0; whole && c < limit_.size(); ++c) {
      CleanSample(window, c, next_);
    }
    ++next_;
  }
  return std::min(next_, window.end_row());
}

void Despiker::Forget(std::uint64_t row) {
  while (!spikes_.empty() && spikes_.front().row < row) spikes_.pop_front();
}

}  // namespace masseter
