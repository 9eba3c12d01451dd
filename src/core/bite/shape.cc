#include "core/bite/shape.h"

#include <algorithm>
#include <cmath>

namespace masseter {
namespace {

constexpr double kStrikeS = 0.20;
constexpr double kSqueezeS = 0.25;
constexpr double kLookBackS = 0.4;

bool Unbroken(const ForceSeries& s, std::size_t i) {
  return s.before[i] == Break::kNone;
}

}  // namespace

Span RefineSpan(const ForceSeries& s, Span rough, double level_n) {
  Span out = rough;
  const double earliest = s.t_s[rough.begin] - kLookBackS;
  while (out.begin > 0 && s.filtered_n[out.begin - 1] > level_n &&
         s.t_s[out.begin - 1] > earliest) {
    --out.begin;
  }
  while (out.begin + 1 < out.end && s.filtered_n[out.begin] <= level_n) {
    ++out.begin;
  }
  while (out.end < s.size() && s.filtered_n[out.end] > level_n) ++out.end;
  while (out.end > out.begin + 1 && s.filtered_n[out.end - 1] <= level_n) {
    --out.end;
  }
  return out;
}

double ImpulseOf(const ForceSeries& s, Span span) {
  double sum = 0.0;
  for (std::size_t i = span.begin + 1; i < span.end; ++i) {
    if (!Unbroken(s, i)) continue;
    sum += 0.5 * (s.raw_n[i] + s.raw_n[i - 1]) * (s.t_s[i] - s.t_s[i - 1]);
  }
  return sum;
}

namespace {

// Time at which the filtered force first passes `level`, between samples by a
// straight line; nullopt across a break.
std::optional<double> FirstPassing(const ForceSeries& s, Span span,
                                   double level) {
  for (std::size_t i = std::max<std::size_t>(span.begin, 1); i < span.end;
       ++i) {
    if (s.filtered_n[i] < level) continue;
    if (!Unbroken(s, i)) return std::nullopt;
    const double below = s.filtered_n[i - 1];
    const double rise = s.filtered_n[i] - below;
    const double part =
        rise > 0.0 ? std::clamp((level - below) / rise, 0.0, 1.0) : 1.0;
    return s.t_s[i - 1] + part * (s.t_s[i] - s.t_s[i - 1]);
  }
  return std::nullopt;
}

}  // namespace

std::optional<Rise> RiseOf(const ForceSeries& s, Span span, double peak_n,
                           double peak_at_s) {
  for (std::size_t i = span.begin + 1; i < span.end; ++i) {
    if (s.t_s[i] > peak_at_s) break;
    if (!Unbroken(s, i)) return std::nullopt;
  }
  const Span wide{span.begin > 5 ? span.begin - 5 : 0, span.end};
  const auto low = FirstPassing(s, wide, 0.1 * peak_n);
  const auto high = FirstPassing(s, wide, 0.9 * peak_n);
  if (!low || !high || *high <= *low) return std::nullopt;
  return Rise{*high - *low, 0.8 * peak_n / (*high - *low)};
}

std::optional<Squeeze> SqueezeOf(const ForceSeries& s, Span span) {
  const double earliest = s.t_s[span.begin] + kStrikeS - 1e-9;
  const auto n = static_cast<std::size_t>(
      std::max(1.0, std::round(kSqueezeS / s.period_s)));
  std::optional<Squeeze> best;
  double sum = 0.0;
  std::size_t from = span.begin;  // first sample of the running window
  for (std::size_t i = span.begin; i < span.end; ++i) {
    if (s.t_s[i] < earliest || !Unbroken(s, i)) {
      sum = 0.0;
      from = i;
      if (s.t_s[i] < earliest) {
        from = i + 1;
        continue;
      }
    }
    sum += s.raw_n[i];
    if (i - from + 1 > n) sum -= s.raw_n[from++];
    if (i - from + 1 < n) continue;
    const double mean = sum / static_cast<double>(n);
    if (!best || mean > best->force_n) best = Squeeze{mean, s.t_s[from]};
  }
  return best;
}

std::optional<double> StrikeOf(const ForceSeries& s, Span span) {
  std::optional<double> best;
  for (std::size_t i = span.begin; i < span.end; ++i) {
    if (s.t_s[i] > s.t_s[span.begin] + kStrikeS) break;
    best = std::max(best.value_or(s.filtered_n[i]), s.filtered_n[i]);
  }
  return best;
}

std::optional<double> HeldOf(const ForceSeries& s, Span span, double peak_n) {
  double sum = 0.0;
  double n = 0.0;
  for (std::size_t i = span.begin; i < span.end; ++i) {
    if (s.filtered_n[i] <= 0.5 * peak_n) continue;
    sum += s.raw_n[i];
    n += 1.0;
  }
  if (n == 0.0) return std::nullopt;
  return sum / n;
}

}  // namespace masseter
