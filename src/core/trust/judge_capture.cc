// How a capture's figures become go, watch or no-go: the second half of
// core/trust/capture_health.h.
#include <algorithm>
#include <cmath>

#include "core/bite/event_tracker.h"
#include "core/bite/peak.h"
#include "core/signal/robust.h"
#include "core/trust/advice.h"
#include "core/trust/capture_health.h"
#include "core/trust/words.h"

namespace masseter {
namespace {

HealthLevel Grade(double value, double watch, double no_go) {
  return value > no_go   ? HealthLevel::kNoGo
         : value > watch ? HealthLevel::kWatch
                         : HealthLevel::kGo;
}

std::string Count(std::uint64_t n, const std::string& one) {
  return std::to_string(n) + " " + one + (n == 1 ? "" : "s");
}

std::string Limits(const std::string& watch, const std::string& no_go) {
  return "go up to " + watch + ", no-go above " + no_go;
}

std::string OneDecimal(double x) {
  const auto tenths = std::lround(std::abs(x) * 10.0);
  return (x < 0.0 && tenths > 0 ? "-" : "") + std::to_string(tenths / 10) +
         "." + std::to_string(tenths % 10);
}

}  // namespace

void HealthMeter::Add(HealthLine line) {
  if (line.level == HealthLevel::kGo) line.advice.clear();
  out_.lines.push_back(std::move(line));
}

std::string HealthMeter::Size(double newtons) const {
  return model_.in_newtons
             ? InNewtons(newtons)
             : InPercent(newtons / std::max(model_.range_n, 1.0)) +
                   " of the scale";
}

void HealthMeter::JudgeCalibration() {
  Add({"calibration",
       model_.calibration ? HealthLevel::kGo : HealthLevel::kWatch,
       model_.calibration ? "stored; forces in newtons"
                          : "none: no figure of a bite can be trusted",
       AdviceFor(ReasonCode::kUncalibrated), std::nullopt, "",
       "go with one stored"});
}

void HealthMeter::JudgeRate() {
  if (steps_ == 0.0) {
    Add({"rate", HealthLevel::kNoGo, "not two samples in a row",
         "look at the cable and at the rig file's columns", 0.0, "1/s",
         "no-go without"});
    return;
  }
  const double rate = 1.0 / (step_first_ + step_sum_ / steps_);
  const double off = rate / rig_.sample_rate_hz - 1.0;
  Add({"rate", Grade(std::abs(off), 0.02, 0.2),
       OneDecimal(rate) + " samples a second, " + InPercent(std::abs(off)) +
           (off < 0.0 ? " below" : " above") + " nominal",
       "write the rate that the device really has into the rig file", rate,
       "1/s", "go within 2 %, no-go beyond 20 %"});
  if (MayMissAStrike(1.0 / rate)) {
    Add({"strike", HealthLevel::kWatch,
         "a strike may pass between two samples: every peak is a lower bound",
         AdviceFor(ReasonCode::kSlow), rate, "1/s",
         "go with 2.5 samples on a strike of 80 ms, 31.25 a second"});
  }
  const double share = static_cast<double>(repeats_) / steps_;
  if (share < 0.2) return;
  Add({"fresh values", share > 0.5 ? HealthLevel::kNoGo : HealthLevel::kWatch,
       InPercent(share) + " of the samples repeat the one before: about " +
           OneDecimal(rate * (1.0 - share)) + " fresh values a second",
       "print a line for each conversion, not for each turn of the loop; " +
           AdviceFor(ReasonCode::kSlow),
       100.0 * share, "%", "go up to 20 %, no-go above 50 %"});
}

void HealthMeter::JudgeClock() {
  if (!timeline_.report().has_time) {
    Add({"clock", HealthLevel::kWatch,
         "no time column: times come from the counter and the nominal rate",
         AdviceFor(ReasonCode::kClock), std::nullopt, "",
         "go with a time column"});
    return;
  }
  if (steps_ < 2.0) return;
  const double mean = step_sum_ / steps_;
  const double period = step_first_ + mean;
  const double sd =
      std::sqrt(std::max(step_squares_ / steps_ - mean * mean, 0.0));
  // A clock that counts whole ticks scatters by a tick over root 6 at most.
  const double tick = tick_s_ / std::sqrt(6.0);
  const double jitter = std::sqrt(std::max(sd * sd - tick * tick, 0.0));
  Add({"clock", Grade(jitter / period, 0.05, 0.3),
       "steps scatter by " + InPercent(sd / period) + " of the period",
       AdviceFor(ReasonCode::kClock), 100.0 * jitter / period, "%",
       "go up to 5 %, no-go above 30 %"});
}

void HealthMeter::JudgeLosses(std::uint64_t broken_lines) {
  const TimelineReport& t = timeline_.report();
  std::uint64_t missing = 0;
  std::uint64_t restarts = 0;
  for (const BreakRecord& b : t.breaks) {
    missing += b.kind == Break::kGap ? b.missing : 0U;
    restarts += b.kind == Break::kRestart ? 1U : 0U;
  }
  missing = counted_ ? std::max(missing, broken_lines) : missing + broken_lines;
  const double share = static_cast<double>(missing) /
                       std::max(static_cast<double>(t.samples + missing), 1.0);
  Add({"losses", Grade(share, 1e-4, 0.01),
       missing == 0 ? "none"
                    : Count(missing, "sample") + " missing or unreadable, " +
                          InPercent(share) + ", at " + Count(t.gaps, "place"),
       AdviceFor(ReasonCode::kGap), 100.0 * share, "%",
       "go up to 0.01 %, no-go above 1 %"});
  Add({"restarts", Grade(static_cast<double>(restarts), 0.0, 2.0),
       restarts == 0 ? "none" : Count(restarts, "restart") + " of the device",
       AdviceFor(ReasonCode::kRestart), static_cast<double>(restarts), "",
       "go with none, no-go from three"});
}

void HealthMeter::JudgeSupply() {
  if (supply_count_ == 0.0) {
    Add({"supply", HealthLevel::kGo, "not printed", "", std::nullopt, "mV",
         ""});
    return;
  }
  const std::string found =
      "lowest " + std::to_string(std::lround(supply_low_)) + " mV, mean " +
      std::to_string(std::lround(supply_sum_ / supply_count_)) + " mV";
  if (!rig_.supply_minimum_mv) {
    Add({"supply", HealthLevel::kGo, found + "; the rig names no minimum", "",
         supply_low_, "mV", ""});
    return;
  }
  const auto minimum = std::lround(*rig_.supply_minimum_mv);
  const double room = supply_low_ - *rig_.supply_minimum_mv;
  Add({"supply", Grade(-room, -100.0, 0.0),
       found + "; minimum " + std::to_string(minimum) + " mV",
       AdviceFor(ReasonCode::kSag), supply_low_, "mV",
       "go from " + std::to_string(minimum + 100) + " mV, no-go below " +
           std::to_string(minimum) + " mV"});
}

void HealthMeter::JudgeChannels() {
  const std::string limit = "go up to two, no-go from ten";
  for (std::size_t c = 0; c < tally_.size(); ++c) {
    const std::string& name = rig_.channels[c].name;
    const ChannelTally& t = tally_[c];
    if (steps_ > 50.0 && t.moves == 0) {
      Add({name, HealthLevel::kNoGo,
           t.at_end ? "stands at the end of its scale" : "does not move at all",
           AdviceFor(ReasonCode::kStuck, name), 0.0, "",
           "no-go without a move"});
      continue;
    }
    const auto jumps = static_cast<double>(t.jumps);
    const HealthLevel level = Grade(jumps, 2.0, 9.0);
    Add({name, level,
         t.jumps == 0
             ? "moves, no jumps"
             : "jumps alone " + Count(t.jumps, "time") +
                   (level == HealthLevel::kGo ? "" : ": a loose plug?"),
         AdviceFor(ReasonCode::kLoose, name), jumps, "", limit});
  }
}

double HealthMeter::ThresholdN() const {
  return ThresholdsFor(model_.range_n, model_.in_newtons, 0.0).on_n;
}

bool HealthMeter::IsQuiet(const Second& second) const {
  double noise = 0.0;
  for (std::size_t c = 0; c < noise_.size(); ++c) {
    noise += std::pow(noise_[c] * model_.estimator.gain[c], 2);
  }
  const double most = std::max(ThresholdN(), 10.0 * std::sqrt(noise));
  return !second.broken && second.high_n - second.low_n < most;
}

std::vector<const HealthMeter::Second*> HealthMeter::Quiet() const {
  std::vector<const Second*> out;
  for (const Second& s : seconds_) {
    if (IsQuiet(s)) out.push_back(&s);
  }
  return out;
}

void HealthMeter::JudgeNoise() {
  const auto quiet = Quiet();
  if (quiet.empty()) {
    Add({"noise", HealthLevel::kWatch, "no quiet second in this capture",
         "let the sleeve rest unloaded for ten seconds", std::nullopt, "N",
         "go with a quiet second"});
    return;
  }
  const std::size_t m = tally_.size();
  std::vector<double> noise(m);
  for (std::size_t c = 0; c < m; ++c) {
    std::vector<double> variance;
    for (const Second* s : quiet) variance.push_back(s->variance[c]);
    noise[c] = std::abs(model_.estimator.gain[c]) *
               std::sqrt(std::max(MedianInPlace(variance), 0.0));
  }
  const double share = model_.range_n / static_cast<double>(m);
  for (std::size_t c = 0; c < m; ++c) {
    std::vector<double> others;
    for (std::size_t k = 0; k < m; ++k) {
      if (k != c) others.push_back(noise[k]);
    }
    const double usual = others.empty() ? noise[c] : MedianInPlace(others);
    HealthLevel level = Grade(noise[c] / share, 0.001, 0.005);
    const bool alone = noise[c] > 5.0 * usual && noise[c] > 2e-4 * share;
    if (alone) level = std::max(level, HealthLevel::kWatch);
    const std::string& name = rig_.channels[c].name;
    Add({"noise of " + name, level,
         Size(noise[c]) + " a sample" +
             (alone ? ", far more than its neighbours" : ""),
         "reseat the plug of " + name +
             ", twist and shield its leads, keep them off radio and charger",
         model_.in_newtons ? std::optional<double>(noise[c]) : std::nullopt,
         "N", Limits(Size(0.001 * share), Size(0.005 * share))});
    out_.pictures.noise.push_back(
        {name, noise[c], 0.001 * share, 0.005 * share});
  }
}

void HealthMeter::JudgeZero() {
  const auto quiet = Quiet();
  if (quiet.size() < 3) return;
  std::vector<double> level;
  for (const Second* s : quiet) level.push_back(ForceOf(s->mean));
  // Medians of ten seconds each: single seconds may hold a touch.
  const std::size_t part =
      std::max<std::size_t>(1, std::min<std::size_t>(10, level.size() / 3));
  std::vector<double> slow;
  for (std::size_t i = 0; i + part <= level.size(); i += part) {
    std::vector<double> some(
        level.begin() + static_cast<std::ptrdiff_t>(i),
        level.begin() + static_cast<std::ptrdiff_t>(i + part));
    slow.push_back(MedianInPlace(some));
  }
  const auto [low, high] = std::minmax_element(slow.begin(), slow.end());
  const double on = ThresholdN();
  const double wander = *high - *low;
  const auto value = [&](double x) {
    return model_.in_newtons ? std::optional<double>(x) : std::nullopt;
  };
  Add({"zero", Grade(wander, on, 3.0 * on),
       "wanders by " + Size(wander) + " over the capture",
       AdviceFor(ReasonCode::kZero), value(wander), "N",
       Limits(Size(on), Size(3.0 * on))});
  if (out_.duration_s < 240.0 || slow.size() < 6) return;
  std::vector<double> late(
      slow.end() - static_cast<std::ptrdiff_t>(slow.size() / 3), slow.end());
  const double warm = std::abs(MedianInPlace(late) - slow.front());
  Add({"warm-up", Grade(warm, 0.5 * on, 3.0 * on),
       "the first zero is " + Size(warm) + " from the late ones",
       "switch the sleeve on ten minutes before the first dog", value(warm),
       "N", Limits(Size(0.5 * on), Size(3.0 * on))});
}

void HealthMeter::JudgeResolution() {
  double worst = 0.0;
  for (std::size_t c = 0; c < tally_.size(); ++c) {
    worst =
        std::max(worst, tally_[c].digit * std::abs(model_.estimator.gain[c]));
  }
  if (!model_.in_newtons || worst == 0.0) return;
  Add({"resolution", Grade(worst, 0.5, 5.0),
       worst < 0.005 ? "one digit is less than 0.01 N"
                     : "one digit is " + InNewtons(worst),
       "a higher gain, or a converter with more bits", worst, "N",
       "go up to 0.50 N, no-go above 5.0 N"});
}

}  // namespace masseter
