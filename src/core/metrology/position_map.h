// The places of the bench: what is left of the error at each, and what one
// factor for everything would have said there.
#ifndef MASSETER_CORE_METROLOGY_POSITION_MAP_H_
#define MASSETER_CORE_METROLOGY_POSITION_MAP_H_

#include <optional>
#include <vector>

#include "core/metrology/bench_set.h"
#include "core/metrology/calibration_parts.h"
#include "core/metrology/estimator_fit.h"

namespace masseter {

// One entry a place of `bench`, in its order. A channel's signal a newton is
// the slope through zero of its signals on the forces there.
std::vector<PositionFacts> MapPositions(
    const BenchSet& bench, const std::optional<LeftOutError>& left_out);

// One factor for the sum of all channels (each with the sign of its gain),
// found by the loads at the place nearest to the middle, tried at every place;
// fills single_factor_error of `map`. nullopt with fewer than two places or
// when the sum does not move.
std::optional<SingleFactor> TrySingleFactor(const BenchSet& bench,
                                            const std::vector<double>& gain,
                                            std::vector<PositionFacts>& map);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_POSITION_MAP_H_
