// Neither twin compiles: check_case.cmake must complain.
// EXPECT: no match for .operator\+.
#include "core/quantity/quantity.h"

constexpr auto kSum = masseter::Force(1.0) + masseter::Pressure(2.0);
