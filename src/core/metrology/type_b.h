// Standard uncertainties of type B: what a limit, a tolerance or a last digit
// is worth when the shape of its distribution is assumed. `half_width` is the
// a of "within +-a". Pure; safe from several threads.
#ifndef MASSETER_CORE_METROLOGY_TYPE_B_H_
#define MASSETER_CORE_METROLOGY_TYPE_B_H_

#include <cmath>

namespace masseter {

// Anything within the limits is as likely (GUM, JCGM 100:2008, 4.3.7).
inline double RectangularSd(double half_width) {
  return half_width / std::sqrt(3.0);
}

// Values near the middle are likelier (GUM 4.3.9).
inline double TriangularSd(double half_width) {
  return half_width / std::sqrt(6.0);
}

// Flat over beta of the width, 0 (triangular) to 1 (rectangular) (GUM 4.3.9).
inline double TrapezoidalSd(double half_width, double beta) {
  return half_width * std::sqrt((1.0 + beta * beta) / 6.0);
}

// A quantity that swings like a sine, temperature over a day (JCGM 101 6.4.6).
inline double ArcsineSd(double half_width) {
  return half_width / std::sqrt(2.0);
}

// A value rounded to a multiple of `step` (GUM F.2.2.1).
inline double ResolutionSd(double step) { return step / std::sqrt(12.0); }

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_TYPE_B_H_
