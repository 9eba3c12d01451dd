// Refused for a missing name, not by the rule: check_case.cmake must complain.
// EXPECT: no match for .operator\+.
#include "core/quantity/quantity.h"

#ifdef MUST_NOT_COMPILE
constexpr auto kSum = masseter::Force(1.0) + masseter::NoSuchName(2.0);
#endif
