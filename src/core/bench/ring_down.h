// From a few taps to natural frequency and damping.
//
// A tap leaves the sleeve ringing by itself. Each ring-down is fitted by
//   x(t) = exp(-s t) (a cos w t + b sin w t) + c + d t                    (1)
// in the sense of least squares (Gauss-Newton with Marquardt's damping, the
// start from a scan over frequency and decay); then
//   f_n = sqrt(w^2 + s^2) / (2 pi),  zeta = s / sqrt(w^2 + s^2)           (2)
// and their standard uncertainties from the fit's covariance. Over several
// taps: means, with the scatter between taps (Student's t) or the fits' own
// uncertainty, whichever is larger.
//
// A ring above half the sampling rate comes out folded, and a converter that
// averages makes it small: see Folded below.
//
// Pure; safe from several threads.
#ifndef MASSETER_CORE_BENCH_RING_DOWN_H_
#define MASSETER_CORE_BENCH_RING_DOWN_H_

#include <span>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/signal/second_order.h"

namespace masseter {

struct RingDown {
  SecondOrder system;
  double at_s = 0.0;         // capture time of the fit's first sample
  double length_s = 0.0;     // of the fitted stretch
  double amplitude = 0.0;    // at its start, in the signal's unit
  double residual_sd = 0.0;  // of the fit
  double cycles = 0.0;       // in the stretch
};

// Fits equation (1) to samples at equal steps. Errors: fewer than 12 samples,
// no oscillation that stands out of the rest, less than two cycles.
Expected<RingDown> FitRingDown(std::span<const double> x, double rate_hz);

// Stretches of free ringing after taps: [first, last) indices into `x`. A tap
// stands out of the quiet before it by 12 standard deviations; the stretch
// begins where the signal first comes back through its level after the
// highest deflection, and ends when the ring has sunk into the noise, with
// the next tap, or after half a second.
struct Stretch {
  std::size_t first = 0;
  std::size_t last = 0;
};
std::vector<Stretch> FindTaps(std::span<const double> x, double rate_hz);

struct TapTest {
  SecondOrder system;
  std::vector<RingDown> taps;  // those that could be fitted
  int not_used = 0;            // stood out, but could not be fitted
  std::vector<std::string> warnings;
};

// `x` is one signal for the whole sleeve (force, or the sum of channels) in
// equal steps from `start_s` on. Errors: no tap; none that rings.
Expected<TapTest> MeasureTaps(std::span<const double> x, double rate_hz,
                              double start_s);

// True when a ring measured at `natural_hz` lies so high that it may be a
// folded one: above 0.4 of the sampling rate.
bool Folded(double natural_hz, double rate_hz);

}  // namespace masseter

#endif  // MASSETER_CORE_BENCH_RING_DOWN_H_
