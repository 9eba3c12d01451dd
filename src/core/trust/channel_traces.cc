#include "core/trust/channel_traces.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/signal/robust.h"

namespace masseter {
namespace {

constexpr double kAroundS = 0.5;
constexpr double kLoadedShare = 0.25;
constexpr std::size_t kRatioSamples = 500;

void LearnNoise(const EventContext& context, const SampleWindow& window,
                ChannelTraces& out) {
  constexpr double kNone = std::numeric_limits<double>::infinity();
  // Times never fall: what lies before the bite is the traces' beginning.
  std::size_t quiet = 1;
  while (quiet < out.size() &&
         window.Time(out.first_row + quiet) < context.event.start_s - 0.06) {
    ++quiet;
  }
  std::vector<double> steps(out.size());
  for (std::size_t c = 0; c < out.channels(); ++c) {
    const std::vector<double>& p = out.p[c];
    double digit = kNone;
    steps.resize(out.size());
    for (std::size_t i = 1; i < out.size(); ++i) {
      const double step = std::abs(p[i] - p[i - 1]);
      steps[i - 1] = step;
      const bool smaller = (step > 0.0) & (step < digit);
      digit = smaller ? step : digit;
    }
    out.digit_n.push_back(digit == kNone ? 0.0 : digit);
    steps.resize(quiet - 1);
    out.noise_n.push_back(NoiseOfSteps(steps));
  }
  // A channel that never moved has no step of its own.
  const double most = *std::max_element(out.digit_n.begin(), out.digit_n.end());
  for (double& digit : out.digit_n) {
    if (digit == 0.0) digit = most;
  }
  // Words that mostly repeat hide the noise: what rounding them does (a digit,
  // rectangular: JCGM 100, F.2.2.1) stands for it.
  const double usual =
      context.sample_noise_n / std::sqrt(static_cast<double>(out.channels()));
  for (std::size_t c = 0; c < out.channels(); ++c) {
    if (out.noise_n[c] > 0.0) continue;
    out.noise_n[c] = std::max(usual, out.digit_n[c] / std::sqrt(12.0));
  }
}

// By the others alone: a wild channel says nothing about the load. Some
// hundred samples spread over the traces tell a median as well as all of them.
void LearnRatios(const EventContext& context, ChannelTraces& out) {
  const std::size_t every = 1 + out.size() / kRatioSamples;
  for (std::size_t c = 0; c < out.channels(); ++c) {
    std::vector<double> load;
    for (std::size_t i = 0; i < out.size(); i += every) {
      const std::uint64_t row = out.first_row + i;
      if (row >= context.event.first_row && row < context.event.end_row) {
        load.push_back(out.Others(c, i));
      }
    }
    double high = 0.0;
    if (!load.empty()) {
      const auto at = load.begin() +
                      static_cast<std::ptrdiff_t>((load.size() - 1) * 9 / 10);
      std::nth_element(load.begin(), at, load.end());
      high = *at;
    }
    out.loaded_n.push_back(std::max(kLoadedShare * high, 1e-9));
    std::vector<double> ratios;
    for (std::size_t i = 0; i < out.size(); i += every) {
      const double others = out.Others(c, i);
      if (others > out.loaded_n[c]) ratios.push_back(out.p[c][i] / others);
    }
    out.ratio.push_back(ratios.empty() ? 0.0 : MedianInPlace(ratios));
  }
}

}  // namespace

double NoiseOfSteps(std::vector<double>& steps) {
  if (steps.size() < 8) return 0.0;
  return kMadToSd * MedianInPlace(steps) / std::sqrt(2.0);
}

ChannelTraces TraceChannels(const ForceModel& model, const SampleWindow& window,
                            const EventContext& context) {
  ChannelTraces out;
  const LoadEvent& event = context.event;
  std::uint64_t first = std::max(event.first_row, window.first_row());
  while (first > window.first_row() &&
         window.Time(first - 1) >= event.start_s - kAroundS) {
    --first;
  }
  std::uint64_t end =
      std::min(std::max(event.end_row, first + 1), window.end_row());
  const double until = window.Time(end - 1) + kAroundS;
  while (end < window.end_row() && window.Time(end) <= until) ++end;
  out.first_row = first;
  const auto n = static_cast<std::size_t>(end - first);
  out.total.assign(n, 0.0);
  out.fresh.assign(n, 0);
  for (std::size_t i = 1; i < n; ++i) {
    out.fresh[i] = window.Before(first + i) != Break::kNone;
  }
  for (std::size_t c = 0; c < model.estimator.channels(); ++c) {
    std::vector<double> raw(n);
    std::vector<double> p(n);
    const double gain = model.estimator.gain[c];
    const double zero = context.zeros.before.value[c];
    for (std::size_t i = 0; i < n; ++i) {
      raw[i] = window.Signal(c, first + i);
      p[i] = gain * (raw[i] - zero);
      out.total[i] += p[i];
    }
    out.raw.push_back(std::move(raw));
    out.p.push_back(std::move(p));
  }
  LearnNoise(context, window, out);
  LearnRatios(context, out);
  return out;
}

}  // namespace masseter
