// Numbers of answers that carry no uncertainty of their own: so many
// significant digits, no exponent, no locale.
#ifndef MASSETER_REPORT_SIGNIFICANT_H_
#define MASSETER_REPORT_SIGNIFICANT_H_

#include <algorithm>
#include <cmath>
#include <string>

#include "report/figure_text.h"

namespace masseter {

// 465.396117 -> "465.4", 0.0012345 -> "0.001235", 152345 -> "152345" (digits
// before the point are never rounded away). Zeros at the end behind the point
// are left out: 743.0 -> "743".
inline std::string Significant(double value, int digits = 4) {
  if (!std::isfinite(value) || value == 0.0) return FixedText(value, 0);
  const int place =
      static_cast<int>(std::floor(std::log10(std::abs(value)))) + 1;
  std::string text = FixedText(value, std::clamp(digits - place, 0, 12));
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
  }
  return text;
}

}  // namespace masseter

#endif  // MASSETER_REPORT_SIGNIFICANT_H_
