// What the temperature does to zero and span, where the readings have temp_c.
//
// Zero: least squares of the zero readings on temperature and row order, so
// that a drift that goes with time is not taken for the temperature's; where
// both rose together the standard error says that they cannot be told apart.
// Span: least squares of the relative errors on temperature with a level of
// its own for every place, on the means of the runs (one series at one place),
// since the loads of a run share their placing.
#ifndef MASSETER_CORE_METROLOGY_TEMPERATURE_EFFECT_H_
#define MASSETER_CORE_METROLOGY_TEMPERATURE_EFFECT_H_

#include <optional>
#include <vector>

#include "core/metrology/bench_set.h"
#include "core/metrology/calibration_parts.h"
#include "core/metrology/readings.h"

namespace masseter {

// A field day is taken to differ from the bench by up to this, rectangular
// (common practice: a heated room against a cold field).
inline constexpr double kFieldSwingK = 15.0;

// nullopt when temperatures are missing or span less than 3 K. `answer` is
// the estimate of each load; fills zero_per_k of `channels`.
std::optional<TemperatureEffect> JudgeTemperature(
    const ReadingsTable& readings, const PreparedBench& prepared,
    const std::vector<double>& answer, const std::vector<double>& gain,
    std::vector<ChannelFacts>& channels);

// Relative standard uncertainty that the span's effect adds in the field;
// nullopt when it does not matter.
std::optional<double> TemperatureU(const TemperatureEffect& effect);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_TEMPERATURE_EFFECT_H_
