// A force and a pressure cannot be added.
// EXPECT: no match for .operator\+.|invalid operands
#include "core/quantity/quantity.h"

namespace masseter {

constexpr Force kBite(743.0);

#ifdef MUST_NOT_COMPILE
constexpr auto kSum = kBite + Pressure(3.1e6);
#else
constexpr auto kSum = kBite + Force(5.0);
static_assert(kSum == Force(748.0));
#endif

}  // namespace masseter
