// The uncertainty that a certificate states for a calibration, in the GUM's
// words (JCGM 100:2008): parts, combined standard uncertainty, effective
// degrees of freedom by Welch-Satterthwaite, coverage factor, expanded
// uncertainty. All relative to the force, for a load at rest at an unknown
// place within the calibrated area and range.
#ifndef MASSETER_CORE_METROLOGY_CALIBRATION_UNCERTAINTY_H_
#define MASSETER_CORE_METROLOGY_CALIBRATION_UNCERTAINTY_H_

#include <string>
#include <vector>

#include "core/metrology/calibration.h"

namespace masseter {

struct CalibrationPart {
  std::string term;
  double standard_u = 0.0;  // relative
  double dof = 0.0;         // infinity for type B
  bool type_a = false;      // from the scatter of readings
};

struct CalibrationUncertainty {
  std::vector<CalibrationPart> parts;
  double standard_u = 0.0;  // u_c
  double dof = 0.0;         // effective
  double k = 0.0;           // t for 95 % at the whole degrees below `dof`
  double expanded_u95 = 0.0;
};

// The parts are those of Calibration::relative_standard_u. Left-out errors of
// n places have n - 1 degrees of freedom; reproducibility one less than the
// series; what nobody looked at (a place, the reference) is type B.
CalibrationUncertainty UncertaintyOf(const Calibration& calibration);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_CALIBRATION_UNCERTAINTY_H_
