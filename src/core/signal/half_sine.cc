#include "core/signal/half_sine.h"

#include <cmath>
#include <limits>
#include <numbers>

namespace masseter {
namespace {

using std::numbers::pi;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

bool Positive(double a, double b) {
  return a > 0.0 && b > 0.0 && std::isfinite(a) && std::isfinite(b);
}

// 1 - sin x / x, by its series where the difference would cancel.
double SincLoss(double x) {
  const double x2 = x * x;
  if (x2 < 1e-2) {
    return x2 / 6.0 * (1.0 - x2 / 20.0 * (1.0 - x2 / 42.0 * (1.0 - x2 / 72.0)));
  }
  return 1.0 - std::sin(x) / x;
}

}  // namespace

double WorstSamplingLoss(double width_s, double rate_hz) {
  if (!Positive(width_s, rate_hz)) return kNan;
  if (width_s * rate_hz < 1.0) return 1.0;
  const double half = std::sin(pi / (4.0 * rate_hz * width_s));
  return 2.0 * half * half;
}

double MeanSamplingLoss(double width_s, double rate_hz) {
  if (!Positive(width_s, rate_hz)) return kNan;
  const double samples = width_s * rate_hz;
  if (samples < 1.0) return 1.0 - 2.0 / pi * samples;
  return SincLoss(pi / (2.0 * samples));
}

double RmsSamplingLoss(double width_s, double rate_hz) {
  if (!Positive(width_s, rate_hz)) return kNan;
  const double samples = width_s * rate_hz;
  if (samples < 1.0) {
    const double when_hit = 1.5 - 4.0 / pi;
    return std::sqrt(1.0 - samples + samples * when_hit);
  }
  // The mean square is 2 S(theta) - S(2 theta) / 2 with S(x) = 1 - sin x / x.
  const double theta = pi / (2.0 * samples);
  if (theta < 0.05) {  // about theta^4 / 20: the two terms cancel
    const double t2 = theta * theta;
    return t2 * std::sqrt((1.0 - 5.0 * t2 / 42.0 + t2 * t2 / 144.0) / 20.0);
  }
  return std::sqrt(2.0 * SincLoss(theta) - 0.5 * SincLoss(2.0 * theta));
}

double RateForWorstLoss(double width_s, double loss) {
  if (!(width_s > 0.0) || !(loss > 0.0 && loss < 1.0)) return kNan;
  // acos(1 - loss) without losing a small loss's digits.
  const double theta = 2.0 * std::asin(std::sqrt(0.5 * loss));
  return pi / (2.0 * width_s * theta);
}

double MovingAverageLoss(double width_s, double window_s) {
  if (!Positive(width_s, window_s) || window_s > width_s) return kNan;
  return SincLoss(pi * window_s / (2.0 * width_s));
}

double OnePolePeakTime(double width_s, double tau_s) {
  if (!Positive(width_s, tau_s)) return kNan;
  // The slope is positive at T/2 and negative at T.
  const double w = pi / width_s;
  double lo = 0.5 * width_s;
  double hi = width_s;
  for (;;) {
    const double t = 0.5 * (lo + hi);
    if (t <= lo || t >= hi) return t;
    const double slope =
        std::cos(w * t) + w * tau_s * std::sin(w * t) - std::exp(-t / tau_s);
    (slope > 0.0 ? lo : hi) = t;
  }
}

double OnePoleLoss(double width_s, double tau_s) {
  const double t = OnePolePeakTime(width_s, tau_s);
  if (std::isnan(t)) return kNan;
  // Where the output is highest it equals the input: y' = (x - y) / tau.
  const double half = std::sin(0.5 * pi * (t / width_s - 0.5));
  return 2.0 * half * half;
}

double TimeConstant(double bandwidth_hz) {
  if (!(bandwidth_hz > 0.0)) return kNan;
  return 1.0 / (2.0 * pi * bandwidth_hz);
}

}  // namespace masseter
