#include "core/signal/second_order.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace masseter {

double AmplitudeGain(const SecondOrder& system, double frequency_hz) {
  const double r = frequency_hz / system.natural_hz;
  const double a = 1.0 - r * r;
  const double b = 2.0 * system.damping * r;
  return 1.0 / std::sqrt(a * a + b * b);
}

double AmplitudeError(const SecondOrder& system, double frequency_hz) {
  return AmplitudeGain(system, frequency_hz) - 1.0;
}

double FlatBand(const SecondOrder& system, double tolerance) {
  // With q = r^2 equation (1) is q^2 - 2 c q + 1 = 1 / G^2, c = 1 - 2 zeta^2.
  const double c = 1.0 - 2.0 * system.damping * system.damping;
  double lowest = std::numeric_limits<double>::infinity();
  for (const double gain : {1.0 + tolerance, 1.0 - tolerance}) {
    const double rest = c * c - 1.0 + 1.0 / (gain * gain);
    if (rest < 0.0) continue;
    for (const double q : {c - std::sqrt(rest), c + std::sqrt(rest)}) {
      if (q > 0.0) lowest = std::min(lowest, q);
    }
  }
  return system.natural_hz * std::sqrt(lowest);
}

double RingAfterRise(const SecondOrder& system, double rise_s) {
  const double zeta = std::clamp(system.damping, 0.0, 0.999);
  const double root = std::sqrt(1.0 - zeta * zeta);
  const double step = std::exp(-std::numbers::pi * zeta / root);
  if (!(rise_s > 0.0)) return step;
  const double w = 2.0 * std::numbers::pi * system.natural_hz;
  const double ramp_s = rise_s / 0.8;
  const double ramp =
      (1.0 + std::exp(-zeta * w * ramp_s)) / (w * root * ramp_s);
  return std::min(step, ramp);
}

double CrestError(const SecondOrder& system, double width_s) {
  return width_s > 0.0 ? AmplitudeError(system, 0.5 / width_s) : 0.0;
}

SecondOrder WorseOf(const SecondOrder& system) {
  SecondOrder out = system;
  out.natural_hz = std::max(0.1 * system.natural_hz,
                            system.natural_hz - 2.0 * system.natural_u_hz);
  out.damping = std::max(0.0, system.damping - 2.0 * system.damping_u);
  return out;
}

}  // namespace masseter
