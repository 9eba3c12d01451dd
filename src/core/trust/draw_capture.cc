// What a capture's page draws: the third part of core/trust/capture_health.h.
#include <algorithm>
#include <cmath>
#include <limits>

#include "core/signal/robust.h"
#include "core/trust/capture_health.h"

namespace masseter {
namespace {

constexpr std::size_t kFirst = 10;  // quiet seconds that make the first zero

constexpr std::size_t kMostCells = 1200;
constexpr float kNothing = std::numeric_limits<float>::quiet_NaN();

}  // namespace

// fmin and fmax pass over NaN: an empty cell takes what comes first.
void ForceStrip::Add(double t_s, double force) {
  while (t_s >= cell_s_ * static_cast<double>(kMostCells)) Halve();
  const auto k = static_cast<std::size_t>(t_s / cell_s_);
  if (k >= low_.size()) {
    low_.resize(k + 1, kNothing);
    high_.resize(k + 1, kNothing);
  }
  const auto f = static_cast<float>(force);
  low_[k] = std::fmin(low_[k], f);
  high_[k] = std::fmax(high_[k], f);
}

void ForceStrip::Halve() {
  const std::size_t n = (low_.size() + 1) / 2;
  for (std::size_t k = 0; k < n; ++k) {
    const std::size_t b = std::min(2 * k + 1, low_.size() - 1);
    low_[k] = std::fmin(low_[2 * k], low_[b]);
    high_[k] = std::fmax(high_[2 * k], high_[b]);
  }
  low_.resize(n);
  high_.resize(n);
  cell_s_ *= 2.0;
}

void ForceStrip::Shift(double by) {
  for (float& f : low_) f += static_cast<float>(by);
  for (float& f : high_) f += static_cast<float>(by);
}

double HealthMeter::RestOf(const std::vector<const Second*>& quiet) const {
  std::vector<double> level;
  for (const Second* s : quiet) level.push_back(ForceOf(s->mean));
  if (!level.empty()) return MedianInPlace(level);
  for (const Second& s : seconds_) level.push_back(s.low_n);
  return level.empty() ? 0.0 : *std::min_element(level.begin(), level.end());
}

std::vector<double> HealthMeter::FirstZero(
    const std::vector<const Second*>& quiet) const {
  std::vector<double> zero(tally_.size(), 0.0);
  if (quiet.empty()) return zero;
  for (std::size_t c = 0; c < zero.size(); ++c) {
    std::vector<double> first;
    for (std::size_t i = 0; i < std::min(kFirst, quiet.size()); ++i) {
      first.push_back(quiet[i]->mean[c]);
    }
    zero[c] = MedianInPlace(first);
  }
  return zero;
}

void HealthMeter::Draw() {
  HealthPictures& p = out_.pictures;
  p.period_s = 1.0 / rig_.sample_rate_hz;
  p.breaks = timeline_.report().breaks;
  p.in_newtons = model_.in_newtons;
  p.zero_watch = ThresholdN();
  p.supply_minimum_mv = rig_.supply_minimum_mv;
  for (const Channel& channel : rig_.channels) {
    p.channels.push_back(channel.name);
  }
  const auto quiet = Quiet();
  p.force.Shift(-RestOf(quiet));
  const std::vector<double> first = FirstZero(quiet);
  for (const Second& s : seconds_) {
    HealthSecond second = {s.start_s, s.supply_mv, {}};
    if (IsQuiet(s)) {
      for (std::size_t c = 0; c < first.size(); ++c) {
        second.zero.push_back(model_.estimator.gain[c] *
                              (s.mean[c] - first[c]));
      }
    }
    p.seconds.push_back(std::move(second));
  }
}

}  // namespace masseter
