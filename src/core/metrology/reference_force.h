// The force of a dead weight, and the density of the air it hangs in.
//
//   F = m g (1 - rho_air / rho_weight)                                    (1)
//
// A weight's certificate gives its conventional mass m_c: the mass of a
// weight of 8000 kg/m3 that it balances in air of 1.2 kg/m3 (OIML D 28), so
//
//   m = m_c (1 - 1.2/8000) / (1 - 1.2/rho_weight)                         (2)
//
// and in air of 1.2 kg/m3 the force does not depend on the weight's density.
// Pure functions; safe from several threads.
#ifndef MASSETER_CORE_METROLOGY_REFERENCE_FORCE_H_
#define MASSETER_CORE_METROLOGY_REFERENCE_FORCE_H_

#include "core/base/error.h"
#include "core/quantity/quantity.h"

namespace masseter {

// OIML D 28 reference conditions for conventional mass.
inline constexpr Density kConventionalWeightDensity{8000.0};
inline constexpr Density kConventionalAirDensity{1.2};

// Densities of what weights are made of; common practice.
inline constexpr Density kSteelDensity{7850.0};
inline constexpr Density kCastIronDensity{7150.0};

// Equation (1): `mass` is the true mass. Errors when mass is negative, or g,
// the weight's density or 1 - rho_air/rho_weight is not positive.
Expected<Force> DeadWeightForce(Mass mass, Acceleration gravity,
                                Density air = kConventionalAirDensity,
                                Density weight = kConventionalWeightDensity);

// Equations (1) and (2): `conventional_mass` is what a certificate states.
// The same errors.
Expected<Force> ConventionalMassForce(
    Mass conventional_mass, Acceleration gravity,
    Density air = kConventionalAirDensity,
    Density weight = kConventionalWeightDensity);

// The state of the air around a weight.
struct Air {
  double temperature_c = 20.0;
  Pressure pressure{101325.0};
  double humidity = 0.5;  // relative, 0 to 1
  double co2 = 0.0004;    // mole fraction
};

// CIPM-2007 (Picard, Davis, Glaser and Fujii, Metrologia 45 (2008) 149).
// Error outside 600 to 1100 hPa, 15 to 27 degC (its stated range; 10 to 40
// degC is accepted here) or a humidity outside 0 to 1.
Expected<Density> AirDensity(const Air& air);

// OIML R 111-1:2004 E.3-1, within 2e-4 of CIPM-2007 for 900 to 1100 hPa, 10 to
// 30 degC and below 80 %. `co2` takes no part. The same errors.
Expected<Density> AirDensitySimplified(const Air& air);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_REFERENCE_FORCE_H_
