#include "core/bite/peak.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <optional>

#include "core/signal/half_sine.h"

namespace masseter {
namespace {

// Slower than that, a step is long enough for a kink to hide in it.
constexpr double kKinkPeriodS = 0.004;
constexpr double kShortestStrikeS = 0.08;
constexpr double kSamplesThatSee = 2.5;  // on a half-sine of that width
// Samples on a crest's half-sine from which, and up to which, its shape tells
// more of where its top is.
constexpr double kPoorCrest = 6.0;
constexpr double kRichCrest = 9.0;

struct Parabola {
  double top = 0.0;
  double at = 0.0;         // samples from the centre
  double curvature = 0.0;  // second derivative a sample squared, negative
  double residual_sd = 0.0;
  double top_gain = 0.0;  // sd of the top over sd of a sample
};

// Least squares over offsets -h..h by orthogonal (Gram) polynomials:
// y = c0 + c1 x + c2 (x^2 - M), M = h (h + 1) / 3.
std::optional<Parabola> FitParabola(const std::vector<double>& y,
                                    std::size_t centre, int h) {
  const double n = 2.0 * h + 1.0;
  const double mean_square = h * (h + 1.0) / 3.0;
  double c0 = 0.0;
  double c1 = 0.0;
  double c2 = 0.0;
  double s1 = 0.0;
  double s2 = 0.0;
  const auto at = [&](int k) {
    return y[static_cast<std::size_t>(static_cast<std::ptrdiff_t>(centre) + k)];
  };
  for (int k = -h; k <= h; ++k) {
    const double q = static_cast<double>(k) * k - mean_square;
    c0 += at(k);
    c1 += k * at(k);
    c2 += q * at(k);
    s1 += static_cast<double>(k) * k;
    s2 += q * q;
  }
  c0 /= n;
  c1 /= s1;
  c2 /= s2;
  if (!(c2 < 0.0)) return std::nullopt;
  Parabola out;
  out.at = -c1 / (2.0 * c2);
  if (std::abs(out.at) > 0.75 * h) return std::nullopt;
  const double q = out.at * out.at - mean_square;
  out.top = c0 + c1 * out.at + c2 * q;
  out.curvature = 2.0 * c2;
  out.top_gain = std::sqrt(1.0 / n + out.at * out.at / s1 + q * q / s2);
  double squares = 0.0;
  for (int k = -h; k <= h; ++k) {
    const double fit =
        c0 + c1 * k + c2 * (static_cast<double>(k) * k - mean_square);
    squares += (at(k) - fit) * (at(k) - fit);
  }
  out.residual_sd = std::sqrt(squares / std::max(n - 3.0, 1.0));
  return out;
}

// Samples on both sides of `index` before a break or the end of [begin, end).
int RoomAround(const ForceSeries& s, std::size_t index, std::size_t begin,
               std::size_t end, int most) {
  int room = 0;
  while (room < most) {
    const auto next = static_cast<std::size_t>(room) + 1;
    if (index < begin + next || index + next >= end) break;
    if (s.before[index - next + 1] != Break::kNone ||
        s.before[index + next] != Break::kNone) {
      break;
    }
    ++room;
  }
  return room;
}

// Parabola through three samples a step apart, at `x` steps from the middle.
double Through(double before, double middle, double after, double x) {
  return middle + 0.5 * (after - before) * x +
         0.5 * (after - 2.0 * middle + before) * x * x;
}

// Where the parabolas that lead up to the crest and down from it would meet,
// if it has a kink in the step that begins at sample `left`: a strike that
// arrives and is gone turns sharply, and no curvature tells.
double MeetingIn(const std::vector<double>& y, std::size_t left) {
  constexpr int kParts = 16;
  double top = 0.0;
  for (int k = 0; k <= kParts; ++k) {
    const double x = static_cast<double>(k) / kParts;
    const double up = Through(y[left - 2], y[left - 1], y[left], 1.0 + x);
    const double down = Through(y[left + 1], y[left + 2], y[left + 3], x - 2.0);
    top = std::max(top, std::min(up, down));
  }
  return top;
}

// Standard uncertainty of a top that lies anywhere between the highest sample
// and `above` it: over 3 where the crest's few samples tell nothing of its
// shape, over 12 (half of it either way) where they do.
double ShapeU(double above, double samples_on_crest) {
  const double told = std::clamp(
      (samples_on_crest - kPoorCrest) / (kRichCrest - kPoorCrest), 0.0, 1.0);
  return std::abs(above) / std::sqrt(3.0 + 9.0 * told);
}

double HalfSineWidth(double top, double curvature_per_s2) {
  return std::numbers::pi * std::sqrt(top / -curvature_per_s2);
}

}  // namespace

bool MayMissAStrike(double period_s) {
  return kSamplesThatSee * period_s > kShortestStrikeS;
}

PeakEstimate FindPeak(const ForceSeries& series, std::size_t begin,
                      std::size_t end, double sample_noise_n) {
  PeakEstimate out;
  const auto& f = series.filtered_n;
  const auto first = f.begin() + static_cast<std::ptrdiff_t>(begin);
  const auto last = f.begin() + static_cast<std::ptrdiff_t>(end);
  out.index =
      static_cast<std::size_t>(std::max_element(first, last) - f.begin());
  out.force_n = f[out.index];
  out.at_s = series.t_s[out.index];
  out.noise_u_n = sample_noise_n * series.filter_noise_gain;

  // A crest is looked at over 60 ms at most on either side.
  const int most = std::clamp(static_cast<int>(0.06 / series.period_s), 2, 120);
  const int room = RoomAround(series, out.index, begin, end, most);
  std::optional<Parabola> best;
  for (const int h : {1, 2, 3, 4, 6, 8, 12, 16, 24, 32, 48, 64, 96, 120}) {
    if (h > room) break;
    const auto fit = FitParabola(series.raw_n, out.index, h);
    if (!fit) continue;
    // 1.25: the residual sd of few points scatters by about a quarter.
    const bool noise_explains = h == 1
                                    ? series.cutoff_hz == 0.0
                                    : fit->residual_sd <= 1.25 * sample_noise_n;
    const bool still_a_crest =
        fit->top * 0.9 < fit->top + fit->curvature * 0.5 * h * h;
    if (noise_explains && (still_a_crest || h == 1)) best = fit;
  }
  double kink_top = 0.0;
  const auto shape =
      best ? best
           : FitParabola(series.filtered_n, out.index, std::min(room, 2));
  if (room >= 1 && shape && out.force_n > 0.0) {
    const double per_s2 =
        shape->curvature / (series.period_s * series.period_s);
    out.width_s = HalfSineWidth(out.force_n, per_s2);
    const double rate = 1.0 / series.period_s;
    out.sampling_loss =
        out.width_s * rate >= 1.0 ? WorstSamplingLoss(out.width_s, rate) : 1.0;
  }
  if (series.period_s >= kKinkPeriodS && room >= 3) {
    kink_top = std::max(MeetingIn(series.raw_n, out.index - 1),
                        MeetingIn(series.raw_n, out.index));
  }
  out.blind = MayMissAStrike(series.period_s);
  if (best && !out.blind) {
    out.shape_u_n =
        ShapeU(best->top - out.force_n, out.width_s / series.period_s);
    out.noise_u_n = sample_noise_n * best->top_gain;
    out.force_n = best->top;
    out.at_s += best->at * series.period_s;
  }
  out.kink_n = std::max(kink_top - out.force_n, 0.0);
  return out;
}

}  // namespace masseter
