// Force against body mass on logarithmic axes: ln F = a + b ln M, each dog one
// point. Least squares predicts a force from a mass; the standardised major
// axis describes how the two scale when both vary. Warton, Wright, Falster and
// Westoby, Biol. Rev. 81 (2006) 259. Masses in kg, forces in N; both above 0.
// Pure functions.
#ifndef MASSETER_CORE_STUDY_ALLOMETRY_H_
#define MASSETER_CORE_STUDY_ALLOMETRY_H_

#include <cstddef>
#include <vector>

#include "core/base/error.h"

namespace masseter {

struct MassPoint {
  double mass = 0.0;   // kg
  double force = 0.0;  // N, a dog's geometric mean
};

struct AllometricLine {
  double slope = 0.0;
  double slope_lo = 0.0;
  double slope_hi = 0.0;
  double intercept = 0.0;  // ln of the force at 1 kg
};

struct AllometricFit {
  std::size_t dogs = 0;
  double r = 0.0;
  double r_squared = 0.0;
  AllometricLine least_squares;
  double slope_se = 0.0;
  double intercept_se = 0.0;
  double residual_sd = 0.0;   // of ln F
  AllometricLine major_axis;  // standardised major axis
  // exp(s^2 / 2): what a geometric prediction is multiplied with to become a
  // mean, if the residuals are normal.
  double lognormal_factor = 1.0;
  double level = 0.95;
  double mean_ln_mass = 0.0;
  double ln_mass_squares = 0.0;  // sum about the mean
  double lightest = 0.0;         // kg, the masses that the fit rests on
  double heaviest = 0.0;
};

// Three dogs at least, of at least two masses.
Expected<AllometricFit> FitAllometry(const std::vector<MassPoint>& points,
                                     double level = 0.95);

// The force of a typical dog of this mass (geometric mean, least squares), the
// interval of that mean and the interval for one further dog.
struct ForceAtMass {
  double force = 0.0;
  double mean_lo = 0.0;
  double mean_hi = 0.0;
  double dog_lo = 0.0;
  double dog_hi = 0.0;
};
ForceAtMass PredictForce(const AllometricFit& fit, double mass);

// A dog's force over that of a typical dog of its mass, and what the dog would
// do at `reference` kg if it kept that ratio.
struct SizeAdjusted {
  double ratio = 1.0;
  double force_at_reference = 0.0;
  bool unusual = false;  // outside the interval for a dog of that mass
};
SizeAdjusted AdjustForSize(const AllometricFit& fit, const MassPoint& dog,
                           double reference);

// Is the major axis' slope `slope`? (2/3: force goes with the muscle's cross-
// section; 1: with the mass.) F(1, n - 2) on the correlation of y - b x with
// y + b x (Warton 2006, section 3).
struct SlopeTest {
  double r = 0.0;
  double f = 0.0;
  double p = 1.0;
};
SlopeTest TestMajorAxisSlope(const std::vector<MassPoint>& points,
                             double slope);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_ALLOMETRY_H_
