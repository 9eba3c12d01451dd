// Creep: what the answer does while a load stands (ISO 376 looks from 30 s to
// 300 s, OIML R 60 over 30 minutes).
#ifndef MASSETER_CORE_METROLOGY_CREEP_H_
#define MASSETER_CORE_METROLOGY_CREEP_H_

#include <optional>
#include <vector>

#include "core/metrology/bench_set.h"
#include "core/metrology/calibration_parts.h"
#include "core/metrology/estimator.h"

namespace masseter {

// The longest record among the standing loads; nullopt without one. Between
// readings the answer is interpolated. Times count from the record's first
// reading, which is taken to be when the load was put on. `over_30_min` needs
// 27 minutes at least and is then the change to the last reading within 30
// minutes.
std::optional<CreepRecord> JudgeCreep(const std::vector<StandingLoad>& standing,
                                      const Estimator& estimator);

// The record's figure for the budget: over 30 minutes, else from 30 s to
// 300 s; its size.
std::optional<double> CreepSize(const CreepRecord& record);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_CREEP_H_
