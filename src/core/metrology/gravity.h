// Normal gravity: the acceleration of free fall that a smooth, level-ellipsoid
// Earth has at a latitude and height. True local gravity differs by the
// gravity anomaly, mostly below 5e-4 m/s2 (50 ppm; from memory), which belongs
// in the uncertainty of a reference force. A surveyed local value is better.
#ifndef MASSETER_CORE_METROLOGY_GRAVITY_H_
#define MASSETER_CORE_METROLOGY_GRAVITY_H_

#include "core/base/error.h"
#include "core/quantity/quantity.h"

namespace masseter {

// Standard acceleration of free fall, exact (3rd CGPM, 1901). A convention,
// not the gravity of a place.
inline constexpr Acceleration kStandardGravity{9.80665};

// A level ellipsoid of revolution and its gravity.
struct GravityEllipsoid {
  double equator_m_s2;       // gamma_e
  double k;                  // (b gamma_p) / (a gamma_e) - 1
  double eccentricity2;      // e^2
  double semi_major_m;       // a
  double flattening;         // f
  double centrifugal_ratio;  // m = omega^2 a^2 b / GM
};

// Geodetic Reference System 1980 (Moritz, J. Geodesy 74 (2000) 128).
inline constexpr GravityEllipsoid kGrs80{
    9.7803267715, 0.001931851353,       0.0066943800229,
    6378137.0,    0.003352810681182319, 0.00344978600308};

// World Geodetic System 1984 (NIMA TR8350.2, third edition).
inline constexpr GravityEllipsoid kWgs84{
    9.7803253359, 0.00193185265241,      0.00669437999014,
    6378137.0,    0.0033528106647474805, 0.00344978650684};

// Somigliana's closed form on the ellipsoid,
//   gamma = gamma_e (1 + k sin^2 phi) / sqrt(1 - e^2 sin^2 phi),
// taken to height h with the free-air correction to second order,
//   gamma_h = gamma (1 - (2/a)(1 + f + m - 2 f sin^2 phi) h + 3 h^2 / a^2).
//
// `latitude_deg` in [-90, 90], `height_m` above sea level in [-500, 9000];
// outside, an Error. Pure; safe from several threads.
Expected<Acceleration> NormalGravity(
    double latitude_deg, double height_m,
    const GravityEllipsoid& ellipsoid = kGrs80);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_GRAVITY_H_
