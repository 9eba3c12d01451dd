#include "core/bite/despike.h"

#include <algorithm>
#include <cmath>
#include <span>

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
  // The limit first: it holds for nearly every sample.
  const double off = std::min(std::abs(v - a), std::abs(v - b));
  const double apart = std::abs(b - a);
  if (off <= limit_[channel] || off <= kTimesNeighbours * apart) return;
  if ((v > a) != (v > b)) return;
  window.SetSignal(channel, row, 0.5 * (a + b));
  spikes_.push_back({row, channel, window.Time(row),
                     0.5 * apart * gain_[channel], v - 0.5 * (a + b)});
}

// Whether any sample of the channel in rows [first, end) may stand further than
// the limit from both neighbours. Without a step beyond the limit none does:
// nearly always, and told at a glance.
bool Despiker::AnyStandsOut(const SampleWindow& window, std::size_t channel,
                            std::uint64_t first, std::uint64_t end) const {
  const std::span<const double> x = window.Signals(channel, first - 1, end + 1);
  const double limit = limit_[channel];
  const auto steps_out = [&](std::size_t i) {
    return static_cast<int>(std::abs(x[i] - x[i - 1]) > limit);
  };
  int steps = 0;
  for (std::size_t i = 1; i < x.size(); ++i) steps |= steps_out(i);
  if (steps == 0) return false;
  int found = 0;
  for (std::size_t i = 1; i + 1 < x.size(); ++i) {
    found |= steps_out(i) & steps_out(i + 1);
  }
  return found != 0;
}

std::uint64_t Despiker::Clean(SampleWindow& window) {
  if (!fast_enough_) return window.end_row();
  constexpr std::uint64_t kChunk = 256;
  while (next_ + 1 < window.end_row()) {
    const std::uint64_t end = std::min(next_ + kChunk, window.end_row() - 1);
    bool any = false;
    for (std::size_t c = 0; c < limit_.size(); ++c) {
      any = any || AnyStandsOut(window, c, next_, end);
    }
    for (std::uint64_t row = next_; any && row < end; ++row) {
      if (window.Before(row) != Break::kNone ||
          window.Before(row + 1) != Break::kNone) {
        continue;
      }
      for (std::size_t c = 0; c < limit_.size(); ++c) {
        CleanSample(window, c, row);
      }
    }
    next_ = end;
  }
  return std::min(next_, window.end_row());
}

void Despiker::Forget(std::uint64_t row) {
  while (!spikes_.empty() && spikes_.front().row < row) spikes_.pop_front();
}

}  // namespace masseter
