#include "device/sim/dynamics.h"

#include <cassert>
#include <cmath>

#include "device/sim/portable_math.h"

namespace masseter::sim {

FirstOrder::FirstOrder(double tau_s, double step_s)
    : gain_(tau_s > 0.0 ? 1.0 - Exp(-step_s / tau_s) : 1.0) {}

SecondOrder::SecondOrder(double frequency_hz, double damping_ratio,
                         double step_s) {
  assert(frequency_hz > 0.0 && damping_ratio > 0.0 && damping_ratio < 1.0);
  const double w = 2.0 * kPi * frequency_hz;
  const double wd = w * std::sqrt(1.0 - damping_ratio * damping_ratio);
  const double decay = Exp(-damping_ratio * w * step_s);
  const double c = Cos(wd * step_s);
  const double s = Sin(wd * step_s);
  const double lean = damping_ratio * w / wd * s;
  a11_ = decay * (c + lean);
  a12_ = decay * s / wd;
  a21_ = -decay * w * w / wd * s;
  a22_ = decay * (c - lean);
}

}  // namespace masseter::sim
