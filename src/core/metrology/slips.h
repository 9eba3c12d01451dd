// Loads whose signals contradict the others at their place: a weight typed
// wrong, a reading copied to the wrong row.
#ifndef MASSETER_CORE_METROLOGY_SLIPS_H_
#define MASSETER_CORE_METROLOGY_SLIPS_H_

#include <vector>

#include "core/metrology/bench_set.h"

namespace masseter {

// Takes out of `bench` the loads whose signals a newton are off their place's
// median by more than a quarter; at a place with fewer than four loads, those
// whose whole signal a newton is off every place's median by a factor of four
// and more. When that would take half of the loads it is not a slip but how
// the sleeve is: nothing is taken.
std::vector<BadRow> TakeSlips(BenchSet& bench);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_SLIPS_H_
