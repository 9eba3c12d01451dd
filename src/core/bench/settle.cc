#include "core/bench/settle.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace masseter {
namespace {

constexpr std::size_t kBlocks = 10;
constexpr std::size_t kLeastSamples = 20;

double MeanOf(std::span<const double> values) {
  double sum = 0.0;
  for (const double v : values) sum += v;
  return sum / static_cast<double>(values.size());
}

// Standard deviation of white noise from successive differences, which a
// slow drift does not enter.
double DifferenceSd(std::span<const double> values) {
  double squares = 0.0;
  for (std::size_t i = 1; i < values.size(); ++i) {
    const double d = values[i] - values[i - 1];
    squares += d * d;
  }
  return std::sqrt(squares / (2.0 * static_cast<double>(values.size() - 1)));
}

}  // namespace

ChannelSettle JudgeWindow(std::span<const double> values,
                          const SettleRule& rule, double full_signal) {
  std::array<double, kBlocks> means{};
  for (std::size_t b = 0; b < kBlocks; ++b) {
    const std::size_t first = b * values.size() / kBlocks;
    const std::size_t last = (b + 1) * values.size() / kBlocks;
    means[b] = MeanOf(values.subspan(first, last - first));
  }
  // x = -4.5 ... 4.5 blocks; the window is ten blocks long.
  const double middle = MeanOf(means);
  double sxx = 0.0;
  double sxy = 0.0;
  for (std::size_t b = 0; b < kBlocks; ++b) {
    const double x = static_cast<double>(b) - 4.5;
    sxx += x * x;
    sxy += x * (means[b] - middle);
  }
  const double slope = sxy / sxx;
  double squares = 0.0;
  for (std::size_t b = 0; b < kBlocks; ++b) {
    const double x = static_cast<double>(b) - 4.5;
    const double rest = means[b] - middle - slope * x;
    squares += rest * rest;
  }
  ChannelSettle out;
  out.scatter = std::sqrt(squares / static_cast<double>(kBlocks - 2));
  out.drift = slope * static_cast<double>(kBlocks);
  out.drift_u = static_cast<double>(kBlocks) * out.scatter / std::sqrt(sxx);
  const double a_block =
      static_cast<double>(values.size()) / static_cast<double>(kBlocks);
  out.noise = DifferenceSd(values) / std::sqrt(a_block);
  out.floor = rule.share * std::abs(full_signal);
  out.slope_ok =
      std::abs(out.drift) <= std::max(rule.slope_t * out.drift_u, out.floor);
  out.spread_ok = out.scatter <= std::max(rule.spread * out.noise, out.floor);
  return out;
}

SettleWatch::SettleWatch(std::size_t channels, const SettleRule& rule)
    : rule_(rule), count_(channels), values_(channels), full_(channels, 0.0) {}

void SettleWatch::Begin() {
  t_s_.clear();
  for (auto& v : values_) v.clear();
  judged_.clear();
  began_s_.reset();
  settled_ = false;
}

void SettleWatch::Add(double t_s, std::span<const double> values, bool broken,
                      std::optional<double> temp_c) {
  if (!began_s_) {
    began_s_ = t_s;
    judged_at_s_ = t_s;
  }
  if (broken) {
    t_s_.clear();
    for (auto& v : values_) v.clear();
    settled_ = false;
  }
  if (temp_c) temp_c_ = temp_c;
  t_s_.push_back(t_s);
  for (std::size_t c = 0; c < count_; ++c) values_[c].push_back(values[c]);
  // One sample more than the window reaches over tells that it is full.
  while (t_s_.size() > 2 && t_s - t_s_[1] >= rule_.window_s) {
    t_s_.pop_front();
    for (auto& v : values_) v.pop_front();
  }
  if (full() && t_s - judged_at_s_ >= 0.1 * rule_.window_s) Judge();
}

bool SettleWatch::full() const {
  return t_s_.size() >= kLeastSamples &&
         t_s_.back() - t_s_.front() >= rule_.window_s;
}

double SettleWatch::waited_s() const {
  return began_s_ && !t_s_.empty() ? t_s_.back() - *began_s_ : 0.0;
}

void SettleWatch::Judge() {
  judged_at_s_ = t_s_.back();
  judged_.clear();
  settled_ = true;
  for (std::size_t c = 0; c < count_; ++c) {
    const std::vector<double> window(values_[c].begin(), values_[c].end());
    judged_.push_back(JudgeWindow(window, rule_, full_[c]));
    settled_ = settled_ && judged_.back().slope_ok && judged_.back().spread_ok;
  }
}

std::optional<SettledReading> SettleWatch::Take() const {
  if (!full()) return std::nullopt;
  SettledReading out;
  out.samples = t_s_.size();
  out.t_s = 0.5 * (t_s_.front() + t_s_.back());
  out.temp_c = temp_c_;
  out.waited_s = waited_s();
  out.settled = settled_;
  for (std::size_t c = 0; c < count_; ++c) {
    const std::vector<double> window(values_[c].begin(), values_[c].end());
    const double mean = MeanOf(window);
    double squares = 0.0;
    for (const double v : window) squares += (v - mean) * (v - mean);
    out.mean.push_back(mean);
    out.sd.push_back(
        std::sqrt(squares / static_cast<double>(window.size() - 1)));
  }
  return out;
}

}  // namespace masseter
