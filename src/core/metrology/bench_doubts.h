// What a bench file itself makes doubtful: a channel that is dead, channels
// that are exchanged, loads in another unit than the column says.
#ifndef MASSETER_CORE_METROLOGY_BENCH_DOUBTS_H_
#define MASSETER_CORE_METROLOGY_BENCH_DOUBTS_H_

#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/metrology/bench_set.h"
#include "core/metrology/calibration_parts.h"
#include "core/metrology/readings.h"
#include "core/rig/rig.h"

namespace masseter {

// A rig of several channels where one reads the same in every row: an error
// that names it. (One channel: FitEstimator says so.)
Expected<void> RefuseDeadChannels(const Rig& rig, const ReadingsTable& readings,
                                  const std::string& file);

// Warnings `dead` (a channel that moves by less than 2 % of the others at
// every place), `swapped` (the loads' centre of force fits the stated places
// far better with channels, or x_mm and y_mm, exchanged) and `unit` (loads that
// speak of kilograms under force_n or of newtons under mass_kg).
std::vector<CalibrationWarning> BenchDoubts(
    const Rig& rig, const ReadingsTable& readings,
    const PreparedBench& prepared, const std::vector<double>& gain,
    const std::vector<PositionFacts>& map);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_BENCH_DOUBTS_H_
