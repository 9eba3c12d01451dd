// Figures inside a warning's sentence, independent of the locale.
#ifndef MASSETER_CORE_METROLOGY_WARNING_TEXT_H_
#define MASSETER_CORE_METROLOGY_WARNING_TEXT_H_

#include <string>
#include <vector>

namespace masseter {

// Per cent with two significant digits, one beyond 10: 0.0123 -> "1.2 %".
std::string Percent(double relative);
// "706 N"
std::string Newtons(double force_n);
// A factor or a load with up to two significant digits after the whole: "9.8",
// "0.10", "400".
std::string Factor(double value);
// "3, 5, 9"; after the eighth an ellipsis.
std::string Lines(const std::vector<int>& lines);
// "c1, c2 and c3"
std::string Joined(const std::vector<std::string>& words);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_WARNING_TEXT_H_
