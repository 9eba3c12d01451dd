#include "core/metrology/gravity.h"

#include <cmath>
#include <numbers>

namespace masseter {

Expected<Acceleration> NormalGravity(double latitude_deg, double height_m,
                                     const GravityEllipsoid& ellipsoid) {
  if (!(latitude_deg >= -90.0 && latitude_deg <= 90.0)) {
    return BadInput("", "the latitude must lie between -90 and 90 degrees");
  }
  if (!(height_m >= -500.0 && height_m <= 9000.0)) {
    return BadInput("", "the height must lie between -500 and 9000 m");
  }
  const GravityEllipsoid& e = ellipsoid;
  const double sine = std::sin(latitude_deg * std::numbers::pi / 180.0);
  const double s2 = sine * sine;
  const double surface =
      e.equator_m_s2 * (1.0 + e.k * s2) / std::sqrt(1.0 - e.eccentricity2 * s2);
  const double ratio = height_m / e.semi_major_m;
  const double first = 2.0 * (1.0 + e.flattening + e.centrifugal_ratio -
                              2.0 * e.flattening * s2);
  return Acceleration(surface * (1.0 - first * ratio + 3.0 * ratio * ratio));
}

}  // namespace masseter
