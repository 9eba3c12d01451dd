// Re-grips, shakes and steadiness: what a bite does while it is held.
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include "core/bite/shape.h"

namespace masseter {
namespace {

constexpr double kGridS = 0.02;  // 50 values a second are enough here
constexpr double kRegripS = 0.4;
constexpr double kNeighbourhoodS = 0.6;
constexpr double kDeep = 0.5;
constexpr double kBack = 0.75;
constexpr double kStrikeS = 0.20;
constexpr double kShakeFromHz = 2.5;
constexpr double kShakeToHz = 10.0;

// Means over 20 ms from the start of the span; missing stretches repeat the
// last value (they only count where they do not matter).
std::vector<double> Coarse(const ForceSeries& s, Span span) {
  std::vector<double> out;
  double sum = 0.0;
  double n = 0.0;
  double edge = s.t_s[span.begin] + kGridS;
  for (std::size_t i = span.begin; i < span.end; ++i) {
    while (s.t_s[i] >= edge) {
      out.push_back(n > 0.0 ? sum / n : (out.empty() ? 0.0 : out.back()));
      sum = n = 0.0;
      edge += kGridS;
    }
    sum += s.raw_n[i];
    n += 1.0;
  }
  if (n > 0.0) out.push_back(sum / n);
  return out;
}

double LevelBetween(const std::vector<double>& v, std::size_t from,
                    std::size_t to) {
  double best = 0.0;
  for (std::size_t i = from; i < to; ++i) best = std::max(best, v[i]);
  return best;
}

std::size_t Steps(double seconds) {
  return static_cast<std::size_t>(std::lround(seconds / kGridS));
}

// The values under a Hann window.
std::vector<double> Windowed(const std::vector<double>& v) {
  std::vector<double> out(v.size());
  const double n = static_cast<double>(v.size());
  for (std::size_t i = 0; i < v.size(); ++i) {
    const double x = static_cast<double>(i);
    out[i] =
        v[i] * (0.5 - 0.5 * std::cos(2.0 * std::numbers::pi * (x + 0.5) / n));
  }
  return out;
}

// Frequency lines of windowed values, kLines of them side by side: power at
// each of `hz`. The phase is turned on from value to value; over the few
// hundred of a bite that is exact to 1e-13.
constexpr std::size_t kLines = 4;
using Lines = std::array<double, kLines>;
Lines PowersAt(const std::vector<double>& windowed, const Lines& hz) {
  Lines cos_turn;
  Lines sin_turn;
  Lines c;
  Lines s{};
  Lines re{};
  Lines im{};
  for (std::size_t k = 0; k < kLines; ++k) {
    const double turn = 2.0 * std::numbers::pi * hz[k] * kGridS;
    cos_turn[k] = std::cos(turn);
    sin_turn[k] = std::sin(turn);
    c[k] = 1.0;
  }
  for (const double v : windowed) {
    for (std::size_t k = 0; k < kLines; ++k) {
      re[k] += v * c[k];
      im[k] += v * s[k];
      const double next = c[k] * cos_turn[k] - s[k] * sin_turn[k];
      s[k] = s[k] * cos_turn[k] + c[k] * sin_turn[k];
      c[k] = next;
    }
  }
  // Hann's coherent gain is one half: amplitude = 4 |X| / n.
  Lines power;
  for (std::size_t k = 0; k < kLines; ++k) {
    const double amplitude =
        4.0 * std::hypot(re[k], im[k]) / static_cast<double>(windowed.size());
    power[k] = amplitude * amplitude;
  }
  return power;
}

// What lies between the ends of the band of shaking: frequency and power.
std::vector<std::pair<double, double>> ShakeBand(
    const std::vector<double>& windowed) {
  std::vector<std::pair<double, double>> line;
  for (double hz = kShakeFromHz; hz <= kShakeToHz; hz += 0.1) {
    line.emplace_back(hz, 0.0);
  }
  for (std::size_t i = 0; i < line.size(); i += kLines) {
    Lines hz;
    for (std::size_t k = 0; k < kLines; ++k) {
      hz[k] = line[std::min(i + k, line.size() - 1)].first;
    }
    const Lines power = PowersAt(windowed, hz);
    for (std::size_t k = 0; k < kLines && i + k < line.size(); ++k) {
      line[i + k].second = power[k];
    }
  }
  return line;
}

// A centred running mean over half a second: what is below about 1 Hz.
std::vector<double> WithoutSlowPart(const std::vector<double>& v) {
  const std::size_t h = Steps(0.25);
  std::vector<double> out(v.size());
  for (std::size_t i = 0; i < v.size(); ++i) {
    const std::size_t a = i > h ? i - h : 0;
    const std::size_t b = std::min(v.size(), i + h + 1);
    double sum = 0.0;
    for (std::size_t k = a; k < b; ++k) sum += v[k];
    out[i] = v[i] - sum / static_cast<double>(b - a);
  }
  return out;
}

// Replaces each re-grip by a straight line, so that its deep notch is not
// taken for a rhythm. `start_s` is the time of the first value.
void FillRegrips(std::vector<double>& v, double start_s,
                 const std::vector<double>& regrips_s) {
  for (const double at : regrips_s) {
    const double first = (at - 0.5 * kRegripS - start_s) / kGridS;
    const double last = (at + 0.5 * kRegripS - start_s) / kGridS;
    const double n = static_cast<double>(v.size());
    if (last < 0.0 || first >= n || v.empty()) continue;
    const auto a = static_cast<std::size_t>(std::max(first, 0.0));
    const auto b = static_cast<std::size_t>(std::min(last, n - 1.0));
    for (std::size_t i = a + 1; i < b; ++i) {
      const double part =
          static_cast<double>(i - a) / static_cast<double>(b - a);
      v[i] = v[a] + part * (v[b] - v[a]);
    }
  }
}

// The held part on the coarse grid: after the strike, before the release.
std::vector<double> HeldPart(const ForceSeries& s, Span span, double held_n) {
  std::vector<double> v = Coarse(s, span);
  const std::size_t skip = std::min(v.size(), Steps(kStrikeS));
  std::size_t end = v.size();
  while (end > skip && v[end - 1] < 0.5 * held_n) --end;
  end = end > skip + Steps(0.1) ? end - Steps(0.1) : skip;
  return {v.begin() + static_cast<std::ptrdiff_t>(skip),
          v.begin() + static_cast<std::ptrdiff_t>(end)};
}

}  // namespace

std::vector<double> RegripsOf(const ForceSeries& s, Span span) {
  const std::vector<double> v = Coarse(s, span);
  std::vector<double> out;
  const std::size_t around = Steps(kNeighbourhoodS);
  const std::size_t longest = Steps(kRegripS);
  for (std::size_t i = 1; i + 1 < v.size();) {
    // What lies between strike and squeeze is no release: the level before a
    // re-grip is looked for after the strike only.
    const std::size_t lowest_from =
        std::max(Steps(kStrikeS), i > around ? i - around : 0);
    if (lowest_from >= i) {
      ++i;
      continue;
    }
    const double left = LevelBetween(v, lowest_from, i);
    const double right =
        LevelBetween(v, i + 1, std::min(v.size(), i + 1 + around));
    const double level = std::min(left, right);
    const bool lowest = v[i] <= v[i - 1] && v[i] <= v[i + 1];
    if (!lowest || v[i] > kDeep * level) {
      ++i;
      continue;
    }
    std::size_t a = i;
    std::size_t b = i;
    while (a > 0 && v[a] < kBack * level) --a;
    while (b + 1 < v.size() && v[b] < kBack * level) ++b;
    const bool back = v[b] >= kBack * level && v[a] >= kBack * level;
    if (back && b - a <= longest + 2) {
      out.push_back(s.t_s[span.begin] +
                    (static_cast<double>(i) + 0.5) * kGridS);
      i = b + 1;
    } else {
      ++i;
    }
  }
  return out;
}

std::optional<double> ShakeOf(const ForceSeries& s, Span span, double held_n,
                              const std::vector<double>& regrips_s) {
  std::vector<double> held = HeldPart(s, span, held_n);
  FillRegrips(held, s.t_s[span.begin] + kStrikeS, regrips_s);
  const std::vector<double> v = Windowed(WithoutSlowPart(held));
  if (v.size() < Steps(0.8)) return std::nullopt;
  double best = 0.0;
  double best_hz = 0.0;
  double total = 0.0;
  double near = 0.0;
  const double resolution = 1.0 / (static_cast<double>(v.size()) * kGridS);
  const auto line = ShakeBand(v);
  for (const auto& [hz, power] : line) {
    total += power;
    if (power > best) {
      best = power;
      best_hz = hz;
    }
  }
  for (const auto& [hz, power] : line) {
    if (std::abs(hz - best_hz) <= 2.0 * resolution) near += power;
  }
  const bool stands_out = near > 0.5 * total;
  if (!stands_out || std::sqrt(best) < 0.03 * held_n) return std::nullopt;
  // A line at the edge of the band is the slope of something slower.
  if (best_hz < kShakeFromHz + 0.15 || best_hz > kShakeToHz - 0.15) {
    return std::nullopt;
  }
  return best_hz;
}

std::optional<double> HeldCvOf(const ForceSeries& s, Span span, double held_n,
                               const std::vector<double>& regrips_s) {
  std::vector<double> v = HeldPart(s, span, held_n);
  const double start = s.t_s[span.begin] + kStrikeS;
  const std::size_t h = Steps(0.16);  // first null of the mean near 3 Hz
  double sum = 0.0;
  double squares = 0.0;
  double n = 0.0;
  for (std::size_t i = 0; i < v.size(); ++i) {
    const double t = start + static_cast<double>(i) * kGridS;
    const bool regrip = std::any_of(
        regrips_s.begin(), regrips_s.end(),
        [t](double at) { return std::abs(t - at) < 0.5 * kRegripS; });
    if (regrip || i < h || i + h >= v.size()) continue;
    double mean = 0.0;
    for (std::size_t k = i - h; k <= i + h; ++k) mean += v[k];
    mean /= static_cast<double>(2 * h + 1);
    sum += mean;
    squares += mean * mean;
    n += 1.0;
  }
  if (n < static_cast<double>(Steps(0.3)) || sum <= 0.0) return std::nullopt;
  const double mean = sum / n;
  const double variance = std::max(squares / n - mean * mean, 0.0);
  return std::sqrt(variance) / mean;
}

}  // namespace masseter
