// What a plan starts from: how much dogs differ, and bites of one dog.
#ifndef MASSETER_APP_PLAN_PRIOR_H_
#define MASSETER_APP_PLAN_PRIOR_H_

#include "app/plan_answer.h"
#include "core/base/error.h"

namespace masseter {

// Typed spreads first; else estimated from the logbook or table by one-way
// analysis of the logarithms; else, where there is neither, assumed from a
// published study, which the answer says.
Expected<PlanPrior> PriorOf(const PlanQuestion& question);

}  // namespace masseter

#endif  // MASSETER_APP_PLAN_PRIOR_H_
