// What the sleeve's own ringing may have done to a bite's peak: the line
// `dynamics` of its budget, when taps have told how the sleeve rings.
//
//   bound = |G(1/(2 W)) - 1| + g R(rise)
//
// G, R of core/signal/second_order.h for the measured system made worse by
// two standard uncertainties; W the width of the half-sine with the crest's
// curvature; g what the channel-class filter passes of the ring, at the
// frequency where it appears in the samples, but not less than a tenth, since
// the crest's parabola also looks at raw samples. The peak lies within the
// bound either way: rectangular.
#ifndef MASSETER_CORE_TRUST_DYNAMICS_LINE_H_
#define MASSETER_CORE_TRUST_DYNAMICS_LINE_H_

#include <optional>

#include "core/bite/bite.h"
#include "core/bite/peak.h"
#include "core/signal/second_order.h"

namespace masseter {

// The bound relative to the peak. `rise_s` empty: as after a step.
double DynamicBound(const SecondOrder& system, double period_s,
                    std::optional<double> rise_s, double width_s);

// The line for a bite. bite.rise_s is filled already.
BudgetLine DynamicsLine(const SecondOrder& system, double period_s,
                        const PeakEstimate& peak, const Bite& bite);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_DYNAMICS_LINE_H_
