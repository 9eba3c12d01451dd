// The course of a bite: where it starts and ends, its rise, squeeze, hold,
// re-grips and shakes. Pure functions of one force series.
#ifndef MASSETER_CORE_BITE_SHAPE_H_
#define MASSETER_CORE_BITE_SHAPE_H_

#include <cstddef>
#include <optional>
#include <vector>

#include "core/bite/force_series.h"

namespace masseter {

// Samples [begin, end) of a series.
struct Span {
  std::size_t begin = 0;
  std::size_t end = 0;
};

// From the rough span outwards (start) and inwards (end) to where the filtered
// force passes `level_n`.
Span RefineSpan(const ForceSeries& series, Span rough, double level_n);

// Time integral of the force, newton seconds, by the trapezoid rule over each
// run of samples; nothing is added for missing samples.
double ImpulseOf(const ForceSeries& series, Span span);

struct Rise {
  double rise_s = 0.0;            // first passing of 10 % to first of 90 %
  double loading_rate_n_s = 0.0;  // 80 % of the peak over the rise
};
// nullopt when samples are missing on the way up.
std::optional<Rise> RiseOf(const ForceSeries& series, Span span, double peak_n,
                           double peak_at_s);

struct Squeeze {
  double force_n = 0.0;  // highest mean over 0.25 s
  double start_s = 0.0;  // of that window
};
// Over windows that begin at least 0.20 s after the bite and hold no missing
// samples; nullopt for shorter bites.
std::optional<Squeeze> SqueezeOf(const ForceSeries& series, Span span);

// Highest filtered force in the first 0.20 s.
std::optional<double> StrikeOf(const ForceSeries& series, Span span);

// Mean of the raw force where the filtered force is above half the peak.
std::optional<double> HeldOf(const ForceSeries& series, Span span,
                             double peak_n);

// Deep, short releases: the force falls below half of what it was within
// 0.6 s on either side (the strike apart) and is back above three quarters
// within 0.4 s. Returns the time of each one's lowest point.
std::vector<double> RegripsOf(const ForceSeries& series, Span span);

// Frequency of shaking between 2.5 and 10 Hz while held, re-grips left out;
// nullopt when no line stands out (half of the band's power, an amplitude of
// 3 % of the held force).
std::optional<double> ShakeOf(const ForceSeries& series, Span span,
                              double held_n,
                              const std::vector<double>& regrips_s);

// Coefficient of variation of the force below 2 Hz while held: strike,
// re-grips and release left out; nullopt below half a second.
std::optional<double> HeldCvOf(const ForceSeries& series, Span span,
                               double held_n,
                               const std::vector<double>& regrips_s);

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_SHAPE_H_
