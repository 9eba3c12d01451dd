// The forward curve of a one-channel rig: reading on force, ISO 376's
// direction, by least squares without weights.
#ifndef MASSETER_CORE_METROLOGY_CURVE_CHOICE_H_
#define MASSETER_CORE_METROLOGY_CURVE_CHOICE_H_

#include "core/base/error.h"
#include "core/metrology/calibration.h"
#include "core/metrology/estimator_fit.h"

namespace masseter {

struct CurveChoice {
  CalibrationCurve curve;
  int order = 1;
};

// Fits v = b0 + b1 F + ... With `zeroed` readings the curve passes through
// (0, 0): b0 and its standard error are 0. kAuto takes the lowest order whose
// next term is not significant at 1 % (t test), up to cubic, as far as there
// are load levels enough (order + 2).
// Errors: fewer different loads than the order asked needs.
Expected<CurveChoice> ChooseCurve(const BenchSet& bench, CurveOrder order,
                                  bool zeroed);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_CURVE_CHOICE_H_
