// What a maker should know, or do, about a calibration.
#ifndef MASSETER_CORE_METROLOGY_CALIBRATION_WARNINGS_H_
#define MASSETER_CORE_METROLOGY_CALIBRATION_WARNINGS_H_

#include <vector>

#include "core/metrology/bench_set.h"
#include "core/metrology/calibration.h"

namespace masseter {

// Codes: off_centre, few_positions, few_series, range, reversibility, drift,
// bad_rows, gravity. Each text says what was seen and what would cure it.
std::vector<CalibrationWarning> CalibrationWarnings(
    const Rig& rig, const ReadingsTable& readings,
    const PreparedBench& prepared, const CalibrateOptions& options,
    const Calibration& calibration);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_CALIBRATION_WARNINGS_H_
