#include "device/sim/bite_shape.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "device/sim/portable_math.h"

namespace masseter::sim {
namespace {

constexpr double kGridS = 1e-4;
constexpr double kStrikeWindowS = 0.20;
constexpr double kSqueezeWindowS = 0.25;

double Strike(const BiteShape& s, double t) {
  if (t >= s.strike_s) return 0.0;
  return s.strike_n * Sin(kPi * t / s.strike_s);
}

// The jaws begin to close a quarter of the way through the strike.
double Squeeze(const BiteShape& s, double t) {
  const double since = t - 0.25 * s.strike_s;
  if (since <= 0.0) return 0.0;
  const double u = std::min(1.0, since / s.rise_s);
  double level = u * u * (3.0 - 2.0 * u) * Exp(-s.fade_per_s * since);
  double wander = 1.0;
  for (const Wave& w : s.waves) {
    if (w.amplitude > 0.0) {
      wander += w.amplitude * Sin(2.0 * kPi * w.hz * since + w.phase);
    }
  }
  for (const Shake& k : s.shakes) {
    const double into = t - k.at_s;
    if (into <= 0.0 || into >= k.length_s) continue;
    const double window = Sin(kPi * into / k.length_s);
    wander += k.amplitude * window * window * Sin(2.0 * kPi * k.hz * into);
  }
  for (const Regrip& r : s.regrips) {
    const double into = t - r.at_s + 0.5 * r.width_s;
    if (into <= 0.0 || into >= r.width_s) continue;
    const double dip = Sin(kPi * into / r.width_s);
    level *= 1.0 - r.depth * dip * dip;
  }
  return s.squeeze_n * level * wander;
}

}  // namespace

double ForceAt(const BiteShape& s, double t_s) {
  if (t_s <= 0.0 || t_s >= s.length_s) return 0.0;
  double force = Strike(s, t_s) + Squeeze(s, t_s);
  const double left = s.length_s - t_s;
  if (left < s.release_s) {
    force *= 0.5 * (1.0 - Cos(kPi * left / s.release_s));
  }
  return std::max(0.0, force);
}

SimGrip GripAt(const BiteShape& s, double t_s) {
  SimGrip grip = s.grip;
  const double u = std::clamp(t_s / s.length_s, 0.0, 1.0);
  grip.x_mm += s.walk_x_mm * u;
  grip.y_mm += s.walk_y_mm * u;
  return grip;
}

ShapeFigures FiguresOf(const BiteShape& shape) {
  const auto n = static_cast<std::size_t>(std::floor(shape.length_s / kGridS));
  std::vector<double> force(n + 1);
  std::vector<double> sum(n + 2, 0.0);
  ShapeFigures f;
  for (std::size_t i = 0; i <= n; ++i) {
    const double t = static_cast<double>(i) * kGridS;
    force[i] = ForceAt(shape, t);
    sum[i + 1] = sum[i] + force[i];
    if (force[i] > f.peak_n) {
      f.peak_n = force[i];
      f.peak_at_s = t;
    }
    if (t <= kStrikeWindowS) f.strike_n = std::max(f.strike_n, force[i]);
  }
  f.impulse_ns = sum[n + 1] * kGridS;
  const auto window =
      static_cast<std::size_t>(std::llround(kSqueezeWindowS / kGridS));
  const auto first =
      static_cast<std::size_t>(std::llround(kStrikeWindowS / kGridS));
  for (std::size_t i = first; i + window <= n + 1; ++i) {
    const double mean =
        (sum[i + window] - sum[i]) / static_cast<double>(window);
    f.squeeze_n = std::max(f.squeeze_n.value_or(0.0), mean);
  }
  double weight = 0.0;
  double held = 0.0;
  for (std::size_t i = 0; i <= n; ++i) {
    if (force[i] < 0.5 * f.peak_n || f.peak_n == 0.0) continue;
    const SimGrip grip = GripAt(shape, static_cast<double>(i) * kGridS);
    held += 1.0;
    weight += force[i];
    f.x_mm += force[i] * grip.x_mm;
    f.y_mm += force[i] * grip.y_mm;
  }
  if (weight > 0.0) {
    f.held_n = weight / held;
    f.x_mm /= weight;
    f.y_mm /= weight;
  }
  return f;
}

}  // namespace masseter::sim
