#include "core/bite/frequency_content.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <span>

#include "core/signal/half_sine.h"

namespace masseter {
namespace {

constexpr double kSegmentS = 1.1;  // the next lower power of two is taken
constexpr std::size_t kLeast = 16;
constexpr double kMost = 0.99;
constexpr double kStrikeS = 0.20;

Span LongestRun(const ForceSeries& s, Span span) {
  Span best{span.begin, span.begin};
  std::size_t start = span.begin;
  for (std::size_t i = span.begin + 1; i <= span.end; ++i) {
    if (i < span.end && s.before[i] == Break::kNone) continue;
    if (i - start > best.end - best.begin) best = {start, i};
    start = i;
  }
  return best;
}

// Standard deviation of the noise of a sample before the bite: half the mean
// square of successive differences (von Neumann, 1941).
double NoiseBefore(const MeasuredBite& bite) {
  double squares = 0.0;
  for (std::size_t i = 1; i < bite.span.begin; ++i) {
    const double d = bite.series.raw_n[i] - bite.series.raw_n[i - 1];
    squares += d * d;
  }
  const auto steps =
      static_cast<double>(std::max<std::size_t>(bite.span.begin, 2) - 1);
  return std::sqrt(0.5 * squares / steps);
}

double MostBelow(const Spectrum& s) {
  double all = 0.0;
  for (std::size_t k = 1; k < s.density.size(); ++k) all += s.density[k];
  double sum = 0.0;
  for (std::size_t k = 1; k < s.density.size(); ++k) {
    sum += s.density[k];
    if (sum >= kMost * all) return s.HzOf(k);
  }
  return 0.0;
}

}  // namespace

std::optional<FrequencyContent> FrequencyContentOf(const MeasuredBite& bite) {
  const ForceSeries& s = bite.series;
  if (bite.span.end <= bite.span.begin || !(s.period_s > 0.0)) {
    return std::nullopt;
  }
  const Span run = LongestRun(s, bite.span);
  const std::size_t length = run.end - run.begin;
  if (length < kLeast) return std::nullopt;
  FrequencyContent out;
  out.rate_hz = 1.0 / s.period_s;
  out.seconds = static_cast<double>(length) * s.period_s;
  const auto second = static_cast<std::size_t>(kSegmentS * out.rate_hz);
  const std::size_t segment =
      std::bit_floor(std::max<std::size_t>(8, std::min(length / 2, second)));
  const auto spectrum = WelchSpectrum(
      std::span(s.raw_n).subspan(run.begin, length), out.rate_hz, segment);
  if (!spectrum) return std::nullopt;
  out.spectrum = *spectrum;
  out.most_below_hz = MostBelow(out.spectrum);
  for (double from = 1.0; from < 0.5 * out.rate_hz; from *= 2.0) {
    if (2.0 * from <= out.spectrum.step_hz) continue;  // no line below it
    const double to = std::min(2.0 * from, 0.5 * out.rate_hz);
    out.bands.push_back({from, to, out.spectrum.RmsWithin(from, to)});
  }
  return out;
}

std::optional<double> SharpestCrest(const MeasuredBite& bite) {
  const ForceSeries& s = bite.series;
  std::optional<double> out;
  if (bite.peak.width_s > 0.0) out = bite.peak.width_s;
  std::size_t end = bite.span.begin;
  while (end < bite.span.end && s.t_s[end] <= bite.bite.start_s + kStrikeS) {
    ++end;
  }
  if (end < bite.span.begin + 3) return out;
  const PeakEstimate strike =
      FindPeak(s, bite.span.begin, end, NoiseBefore(bite));
  const bool falls = strike.index + 2 < end;
  if (falls && strike.width_s > 0.0) {
    out = std::min(out.value_or(strike.width_s), strike.width_s);
  }
  return out;
}

std::optional<SamplingNeed> SamplingNeedOf(const MeasuredBite& bite) {
  const double period = bite.series.period_s;
  if (!(bite.peak.width_s > 0.0) || !(period > 0.0)) return std::nullopt;
  SamplingNeed out;
  out.rate_hz = 1.0 / period;
  out.crest_s = bite.peak.width_s;
  out.worst_loss = WorstSamplingLoss(out.crest_s, out.rate_hz);
  out.needed_rate_hz = RateForWorstLoss(out.crest_s, kAllowedLoss);
  return out;
}

}  // namespace masseter
