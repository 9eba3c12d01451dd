#include "core/metrology/reference_force.h"

#include <cmath>

namespace masseter {
namespace {

constexpr double kZeroCelsiusK = 273.15;

Expected<void> CheckAir(const Air& air) {
  if (!(air.temperature_c >= 10.0 && air.temperature_c <= 40.0)) {
    return BadInput("", "air density needs a temperature of 10 to 40 degC");
  }
  if (!(air.pressure.si() >= 60000.0 && air.pressure.si() <= 110000.0)) {
    return BadInput("", "air density needs a pressure of 600 to 1100 hPa");
  }
  if (!(air.humidity >= 0.0 && air.humidity <= 1.0)) {
    return BadInput("", "relative humidity must lie between 0 and 1");
  }
  return {};
}

// Mole fraction of water vapour.
double VapourFraction(const Air& air) {
  const double t = air.temperature_c;
  const double kelvin = kZeroCelsiusK + t;
  const double p = air.pressure.si();
  const double saturation =
      std::exp(1.2378847e-5 * kelvin * kelvin - 1.9121316e-2 * kelvin +
               33.93711047 - 6.3431645e3 / kelvin);
  const double enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t * t;
  return air.humidity * enhancement * saturation / p;
}

double Compressibility(const Air& air, double xv) {
  const double t = air.temperature_c;
  const double p_over_t = air.pressure.si() / (kZeroCelsiusK + t);
  const double first = 1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t * t +
                       (5.707e-6 - 2.051e-8 * t) * xv +
                       (1.9898e-4 - 2.376e-6 * t) * xv * xv;
  return 1.0 - p_over_t * first +
         p_over_t * p_over_t * (1.83e-11 - 0.765e-8 * xv * xv);
}

}  // namespace

Expected<Force> DeadWeightForce(Mass mass, Acceleration gravity, Density air,
                                Density weight) {
  if (!(mass.si() >= 0.0) || std::isinf(mass.si())) {
    return BadInput("", "a weight's mass must be zero or more");
  }
  if (!(gravity.si() > 0.0) || std::isinf(gravity.si())) {
    return BadInput("", "gravity must be positive");
  }
  if (!(air.si() >= 0.0) || !(weight.si() > air.si())) {
    return BadInput("", "a weight must be denser than the air around it");
  }
  return mass * gravity * (1.0 - air.si() / weight.si());
}

Expected<Force> ConventionalMassForce(Mass conventional_mass,
                                      Acceleration gravity, Density air,
                                      Density weight) {
  if (!(weight.si() > kConventionalAirDensity.si())) {
    return BadInput("", "a weight must be denser than the air around it");
  }
  const double rho0 = kConventionalAirDensity.si();
  const double to_mass = (1.0 - rho0 / kConventionalWeightDensity.si()) /
                         (1.0 - rho0 / weight.si());
  return DeadWeightForce(conventional_mass * to_mass, gravity, air, weight);
}

Expected<Density> AirDensity(const Air& air) {
  if (auto ok = CheckAir(air); !ok) return tl::unexpected<Error>(ok.error());
  constexpr double kGasConstant = 8.314472;  // J/(mol K), as CIPM-2007 states
  constexpr double kMolarVapour = 18.01528e-3;
  const double molar_dry = (28.96546 + 12.011 * (air.co2 - 0.0004)) * 1e-3;
  const double xv = VapourFraction(air);
  const double kelvin = kZeroCelsiusK + air.temperature_c;
  return Density(air.pressure.si() * molar_dry /
                 (Compressibility(air, xv) * kGasConstant * kelvin) *
                 (1.0 - xv * (1.0 - kMolarVapour / molar_dry)));
}

Expected<Density> AirDensitySimplified(const Air& air) {
  if (auto ok = CheckAir(air); !ok) return tl::unexpected<Error>(ok.error());
  const double t = air.temperature_c;
  const double hpa = air.pressure.si() / 100.0;
  const double percent = air.humidity * 100.0;
  return Density((0.34848 * hpa - 0.009 * percent * std::exp(0.061 * t)) /
                 (kZeroCelsiusK + t));
}

}  // namespace masseter
