// What to do about it at the club, a sentence for every kind of evidence.
#ifndef MASSETER_CORE_TRUST_ADVICE_H_
#define MASSETER_CORE_TRUST_ADVICE_H_

#include <string>

#include "core/bite/bite.h"

namespace masseter {

// `channel` names the channel that the evidence speaks of; empty for the whole
// sleeve.
std::string AdviceFor(ReasonCode code, const std::string& channel = "");

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_ADVICE_H_
