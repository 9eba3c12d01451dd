// What a recording's force is computed with: a calibration, or, without one,
// the unit the channels are printed in.
#ifndef MASSETER_CORE_BITE_FORCE_MODEL_H_
#define MASSETER_CORE_BITE_FORCE_MODEL_H_

#include <optional>
#include <span>
#include <vector>

#include "core/metrology/calibration.h"
#include "core/metrology/estimator.h"
#include "core/rig/rig.h"

namespace masseter {

struct ForceModel {
  Estimator estimator;
  // In newtons? False without calibration when channels print counts or
  // volts: bites are then found, but no figure is honest.
  bool in_newtons = false;
  std::optional<Calibration> calibration;
  double range_n = 0.0;  // full range of the sleeve in the estimator's unit
};

// `calibration` may be null. Channels without calibration are added up in
// newtons when they print a force, else in their own unit.
ForceModel MakeForceModel(const Rig& rig, const Calibration* calibration);

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_FORCE_MODEL_H_
