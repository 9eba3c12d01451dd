// The area of the sleeve that a calibration speaks for.
#ifndef MASSETER_CORE_METROLOGY_PLACE_AREA_H_
#define MASSETER_CORE_METROLOGY_PLACE_AREA_H_

#include <vector>

#include "core/metrology/estimator.h"

namespace masseter {

// Convex hull, counter-clockwise, by Andrew's monotone chain (A. M. Andrew,
// Inf. Process. Lett. 9 (1979) 216). One or two points, or points on a line,
// give a hull of one or two points.
std::vector<Place> ConvexHull(std::vector<Place> points);

// Distance from `place` to the hull in millimetres; 0 inside.
double DistanceToHull(const std::vector<Place>& hull, Place place);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_PLACE_AREA_H_
