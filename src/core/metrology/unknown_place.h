// What a place that nobody loaded may be off by.
#ifndef MASSETER_CORE_METROLOGY_UNKNOWN_PLACE_H_
#define MASSETER_CORE_METROLOGY_UNKNOWN_PLACE_H_

#include <numbers>

namespace masseter {

// With fewer than three places nothing can be left out; what an unknown place
// does is then taken as up to 5 % (rectangular), a cautious guess from how
// much of an off-centre load a padded shell carries (common practice).
inline constexpr double kUnknownPlace = 0.05;
// Its standard uncertainty, 5 % over the root of 3.
inline constexpr double kUnknownPlaceU = kUnknownPlace / std::numbers::sqrt3;

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_UNKNOWN_PLACE_H_
