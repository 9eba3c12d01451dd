// A bare number does not become a force by itself.
// EXPECT: could not convert|conversion from|no matching function
#include "core/quantity/quantity.h"

namespace masseter {

constexpr double Newtons(Force force) { return force.si(); }

#ifdef MUST_NOT_COMPILE
constexpr double kValue = Newtons(743.0);
#else
constexpr double kValue = Newtons(Force(743.0));
static_assert(kValue == 743.0);
#endif

}  // namespace masseter
