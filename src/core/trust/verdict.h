// From evidence to a verdict and the interval that goes with it.
#ifndef MASSETER_CORE_TRUST_VERDICT_H_
#define MASSETER_CORE_TRUST_VERDICT_H_

#include "core/bite/bite.h"
#include "core/bite/measure.h"

namespace masseter {

// Reads bite.reasons, sets verdict and at_least, widens the interval of the
// budget: peak_u95_n, and peak_lo_n and peak_hi_n where it is not symmetric.
//
//  * evidence whose effect stays below half the interval's half-width and
//    below 1 % of the peak is told but does not count;
//  * a channel that was stuck, loose or alone at the end of its scale within
//    the bite makes it `doubtful`, and widens the interval by 1 % of the peak
//    at least;
//  * anything more makes the bite `doubtful`; an effect larger than half the
//    peak that gives no lower bound makes it `void`, and so do counts that
//    are not newtons;
//  * a gap and too slow a sampling can only have hidden a higher force: they
//    widen the interval upwards; other effects widen it both ways, in
//    quadrature;
//  * a restart or an end of the recording while the force stood above half
//    the peak, a rail, and a gap that could hide half the peak again leave a
//    lower bound: `at_least`.
void Judge(const EventContext& context, Bite& bite);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_VERDICT_H_
