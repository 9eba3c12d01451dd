// What a maker should know, or do, about a calibration.
#ifndef MASSETER_CORE_METROLOGY_CALIBRATION_WARNINGS_H_
#define MASSETER_CORE_METROLOGY_CALIBRATION_WARNINGS_H_

#include <vector>

#include "core/metrology/bench_set.h"
#include "core/metrology/calibration.h"

namespace masseter {

// Codes: off_centre, few_positions, few_series, few_loads, range,
// reversibility, drift, creep, temperature, bad_rows, duplicates, gravity, and
// the doubts of bench_doubts.h: dead, swapped, unit. Each text says what was
// seen and what would cure it.
std::vector<CalibrationWarning> CalibrationWarnings(
    const Rig& rig, const ReadingsTable& readings,
    const PreparedBench& prepared, const CalibrateOptions& options,
    const Calibration& calibration);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_CALIBRATION_WARNINGS_H_
