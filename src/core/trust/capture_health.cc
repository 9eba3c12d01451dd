#include "core/trust/capture_health.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace masseter {
namespace {

constexpr double kJumpNoises = 12.0;
constexpr double kJumpN = 3.0;
constexpr double kOthersShare = 0.3;
constexpr double kNoiseGain = 0.002;  // of the running noise, a sample

double TickOf(const std::vector<ColumnRole>& layout) {
  for (const ColumnRole& column : layout) {
    if (column.role == Role::kTimeUs) return 1e-6;
    if (column.role == Role::kTimeMs) return 1e-3;
  }
  return 0.0;
}

}  // namespace

std::string_view HealthWord(HealthLevel level) {
  static constexpr std::array<std::string_view, 3> kWords = {"go", "watch",
                                                             "no-go"};
  return kWords[static_cast<std::size_t>(level)];
}

HealthMeter::HealthMeter(const Rig& rig, const Calibration* calibration)
    : rig_(rig),
      model_(MakeForceModel(rig, calibration)),
      timeline_(rig),
      tally_(rig.channels.size()),
      noise_(rig.channels.size(), 0.0) {
  // Four samples a cell at least, so that none is empty but by a gap.
  out_.pictures.force = ForceStrip(std::max(0.02, 4.0 / rig.sample_rate_hz));
}

void HealthMeter::Push(const RawBlock& block) {
  tick_s_ = TickOf(block.layout);
  counted_ = std::any_of(
      block.layout.begin(), block.layout.end(),
      [](const ColumnRole& column) { return column.role == Role::kSequence; });
  SampleBlock samples;
  timeline_.Push(block, samples);
  for (std::size_t i = 0; i < samples.size(); ++i) Take(samples, i);
}

void HealthMeter::LearnStep(double dt_s) {
  if (steps_ == 0.0) step_first_ = dt_s;
  const double d = dt_s - step_first_;
  steps_ += 1.0;
  step_sum_ += d;
  step_squares_ += d * d;
  const double bin = dt_s * rig_.sample_rate_hz * HealthPictures::kBinsAPeriod;
  constexpr std::size_t kLast = HealthPictures::kBins - 1;
  // Half a bin of room: a steady clock stands in the middle of a bin.
  ++out_.pictures.steps[static_cast<std::size_t>(
      std::clamp(bin + 0.5, 0.0, static_cast<double>(kLast)))];
}

// A jump that one channel makes alone.
void HealthMeter::CountJumps(const std::vector<double>& step) {
  double all = 0.0;
  for (std::size_t c = 0; c < step.size(); ++c) {
    all += std::abs(step[c] * model_.estimator.gain[c]);
  }
  for (std::size_t c = 0; c < step.size(); ++c) {
    const double gain = std::abs(model_.estimator.gain[c]);
    const double own = std::abs(step[c]) * gain;
    const double least =
        std::max(kJumpNoises * gain * noise_[c],
                 model_.in_newtons ? kJumpN : 0.002 * model_.range_n);
    if (steps_ > 100.0 && own > least && all - own < kOthersShare * own) {
      ++tally_[c].jumps;
      continue;  // a jump is not noise
    }
    const double square = noise_[c] * noise_[c];
    noise_[c] = std::sqrt(square + std::max(kNoiseGain, 1.0 / (steps_ + 1.0)) *
                                       (0.5 * step[c] * step[c] - square));
  }
}

void HealthMeter::Take(const SampleBlock& b, std::size_t i) {
  const std::size_t m = tally_.size();
  std::vector<double> step(m, 0.0);
  const bool whole = has_last_ && b.before[i] == Break::kNone;
  bool repeats = whole;
  for (std::size_t c = 0; c < m; ++c) {
    const double v = b.channel[c][i];
    const Channel& channel = rig_.channels[c];
    tally_[c].at_end = tally_[c].at_end ||
                       (channel.adc_max && v >= *channel.adc_max) ||
                       (channel.adc_min && v <= *channel.adc_min);
    if (!whole) continue;
    step[c] = v - last_[c];
    const double size = std::abs(step[c]);
    if (size > 0.0) {
      ++tally_[c].moves;
      repeats = false;
      if (tally_[c].digit == 0.0 || size < tally_[c].digit) {
        tally_[c].digit = size;
      }
    }
  }
  if (whole) {
    LearnStep(b.t_s[i] - last_t_s_);
    CountJumps(step);
    repeats_ += repeats ? 1U : 0U;
  }
  if (now_.samples > 0.0 && b.t_s[i] - now_.start_s >= 1.0) CloseSecond();
  std::vector<double> v(m);
  for (std::size_t c = 0; c < m; ++c) v[c] = b.channel[c][i];
  if (now_.samples == 0.0) {
    now_.start_s = b.t_s[i];
    now_.mean.assign(m, 0.0);
    now_.variance.assign(m, 0.0);
  }
  const double force = ForceOf(v);
  out_.pictures.force.Add(std::max(b.t_s[i], 0.0), force);
  now_.low_n = now_.samples == 0.0 ? force : std::min(now_.low_n, force);
  now_.high_n = now_.samples == 0.0 ? force : std::max(now_.high_n, force);
  now_.broken = now_.broken || b.before[i] != Break::kNone;
  now_.samples += 1.0;
  for (std::size_t c = 0; c < m; ++c) {
    now_.mean[c] += v[c];
    now_.variance[c] += 0.5 * step[c] * step[c];
  }
  if (b.supply_mv.size() == b.size()) TakeSupply(b.supply_mv[i]);
  last_ = std::move(v);
  last_t_s_ = b.t_s[i];
  has_last_ = true;
}

void HealthMeter::TakeSupply(double supply_mv) {
  supply_.push_back(supply_mv);
  if (supply_.size() > 3) supply_.erase(supply_.begin());
  if (supply_.size() < 3) return;
  std::array<double, 3> three = {supply_[0], supply_[1], supply_[2]};
  std::sort(three.begin(), three.end());
  supply_low_ =
      supply_count_ == 0.0 ? three[1] : std::min(supply_low_, three[1]);
  supply_sum_ += three[1];
  supply_count_ += 1.0;
  now_.supply_mv = std::min(now_.supply_mv.value_or(three[1]), three[1]);
}

void HealthMeter::CloseSecond() {
  for (double& x : now_.mean) x /= now_.samples;
  for (double& x : now_.variance) x /= std::max(now_.samples - 1.0, 1.0);
  seconds_.push_back(std::move(now_));
  now_ = {};
}

double HealthMeter::ForceOf(const std::vector<double>& mean) const {
  // By channel gains: the zero is not known, only moves count here.
  double force = 0.0;
  for (std::size_t c = 0; c < mean.size(); ++c) {
    force += model_.estimator.gain[c] * mean[c];
  }
  return force;
}

CaptureHealth HealthMeter::Finish(std::uint64_t broken_lines) {
  if (now_.samples > 1.0) CloseSecond();
  out_.samples = timeline_.report().samples;
  out_.duration_s = timeline_.report().last_s;
  JudgeCalibration();
  JudgeRate();
  JudgeClock();
  JudgeLosses(broken_lines);
  JudgeSupply();
  JudgeChannels();
  JudgeNoise();
  JudgeZero();
  JudgeResolution();
  Draw();
  for (const HealthLine& line : out_.lines) {
    out_.level = std::max(out_.level, line.level);
  }
  return std::move(out_);
}

}  // namespace masseter
