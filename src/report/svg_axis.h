// Where a value stands in a picture, and which values get a tick.
#ifndef MASSETER_REPORT_SVG_AXIS_H_
#define MASSETER_REPORT_SVG_AXIS_H_

#include <string>
#include <vector>

namespace masseter::report {

// A linear scale from [low, high] to picture units [at_low, at_high]. For a
// scale that points up, at_low > at_high.
struct Axis {
  double low = 0.0;
  double high = 1.0;
  double at_low = 0.0;
  double at_high = 1.0;

  double At(double value) const {
    return at_low + (value - low) / (high - low) * (at_high - at_low);
  }
};

// Distance between ticks: 1, 2 or 5 times a power of ten, so that [low, high]
// holds about `wanted` of them. A range that is empty or not finite gives 1.
double TickStep(double low, double high, int wanted);

// Multiples of the tick step inside [low, high], ascending.
std::vector<double> Ticks(double low, double high, int wanted);

// The smallest multiple of a tick step at or above `value` (for an axis that
// begins at zero); 1 when `value` is not above zero.
double NiceTop(double value, int wanted);

// `value` with as many decimals as `step` needs, minus as U+2212.
std::string TickText(double value, double step);

// A coordinate with at most two decimals, no trailing zeros: "12.5", "-3".
std::string Coordinate(double value);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_SVG_AXIS_H_
