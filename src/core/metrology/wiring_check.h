// Do the channels stand where the rig file says? A load's centre of force
// follows its place; with two channels exchanged it does not.
#ifndef MASSETER_CORE_METROLOGY_WIRING_CHECK_H_
#define MASSETER_CORE_METROLOGY_WIRING_CHECK_H_

#include <optional>
#include <span>
#include <vector>

#include "core/metrology/calibration_parts.h"
#include "core/metrology/estimator.h"

namespace masseter {

struct WiringDoubt {
  // The order of the cells that fits: channel i stands at cells[order[i]].
  std::vector<std::size_t> order;
  bool axes_exchanged = false;  // instead: x_mm and y_mm are exchanged
};

// Tries every order of up to six channels (pairs beyond that) and the exchange
// of the axes. The misfit of an order is the mean square distance between the
// loads' centres of force and their places, both from their means and up to a
// common factor (the larger of the axes' slopes, within 0.5 to 1.5), an axis at
// a time relative to the places' own spread. A doubt: the rig's order misses by
// more than 0.25 and another by less than 0.1 and a quarter of it. nullopt also
// with fewer than four places or no cell positions.
std::optional<WiringDoubt> CheckWiring(std::span<const PositionFacts> map,
                                       std::span<const double> gain,
                                       std::span<const Place> cells);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_WIRING_CHECK_H_
