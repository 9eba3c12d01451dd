// What the figure would be if one piece of evidence were not there: "without
// the gap: 812 +- 14 N".
#ifndef MASSETER_CORE_TRUST_COUNTERFACTUAL_H_
#define MASSETER_CORE_TRUST_COUNTERFACTUAL_H_

#include <cstddef>

#include "core/bite/measure.h"

namespace masseter {

struct Counterfactual {
  // False when the evidence took the force itself away (power lost, a
  // converter at its end): what would have stood there is not in the data.
  bool known = true;
  Bite bite;  // judged anew without the reason
};

// The bite with reason `index` left out and judged anew: interval of the
// budget, then every other piece of evidence. A repair stays done: without a
// stuck channel, the same figure is surer.
Counterfactual WithoutReason(const MeasuredBite& measured, std::size_t index);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_COUNTERFACTUAL_H_
