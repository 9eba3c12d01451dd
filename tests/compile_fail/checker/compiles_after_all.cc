// Both twins compile: check_case.cmake must complain.
// EXPECT: no match
#include "core/quantity/quantity.h"

#ifdef MUST_NOT_COMPILE
constexpr auto kSum = masseter::Force(1.0) + masseter::Force(2.0);
#endif
