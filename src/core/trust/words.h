// Numbers in sentences: whole units or two significant digits, a full stop as
// decimal sign whatever the locale.
#ifndef MASSETER_CORE_TRUST_WORDS_H_
#define MASSETER_CORE_TRUST_WORDS_H_

#include <string>

namespace masseter {

std::string InNewtons(double force_n);       // "812 N", "7.4 N"
std::string InMilliseconds(double seconds);  // "81 ms", "2.4 s"
std::string InPercent(double relative);      // "2.4 %", "12 %"
std::string InMillimetres(double mm);        // "14 mm"
std::string InGravities(double g);           // "3.1 g"

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_WORDS_H_
