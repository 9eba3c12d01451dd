// How a figure is written, in the report and on the terminal alike: never
// alone, its uncertainty with two significant digits, the value ending at the
// same place (GUM, JCGM 100:2008, 7.2.6). No locale, no thousands separators
// before 10 000, an ASCII hyphen for minus (Typographic makes it a real one).
#ifndef MASSETER_REPORT_FIGURE_TEXT_H_
#define MASSETER_REPORT_FIGURE_TEXT_H_

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "core/bite/bite.h"

namespace masseter {

// Newtons in one kilogram-force (NIST SP 811, App. B.8; exact).
inline constexpr double kNewtonsPerKgf = 9.80665;

// The decimal place at which `u` ends when it has two significant digits: 1
// for 6.2, 0 for 62, -1 for 620. The place is found after rounding, so 0.996
// ends as 1.0 and not as 1.00. `u` must be finite and above zero.
int UncertaintyDecimals(double u);

// `value` with `decimals` digits after the point; negative decimals round to
// tens, hundreds and so on. "-0.0" is "0.0". Not finite: "?".
std::string FixedText(double value, int decimals);

// A value and its uncertainty as two texts that end at the same place. Without
// an uncertainty that can be believed (none, not finite, zero or less) the
// value keeps three significant digits and `uncertainty` is "?".
struct FigureParts {
  std::string value;
  std::string uncertainty;
};
FigureParts SplitFigure(double value, std::optional<double> u);

// "743.1 ± 6.2 N"; `unit` may be empty.
std::string FigureText(double value, std::optional<double> u,
                       std::string_view unit);

// The peak of a bite as every table and headline shows it:
//   sound, doubtful   "743.1 ± 6.2 N", or "743 N (730 to 790 N)" when the
//                     interval is not symmetric
//   lower bound only  "≥ 812 N", rounded down
//   void              "no figure"
std::string PeakText(const Bite& bite);
// The same in kilogram-force, "75.77 ± 0.63 kgf"; empty for a void bite.
std::string PeakKgfText(const Bite& bite);

// The bound below which the true peak is not: peak_lo_n when it is known, else
// the peak itself. nullopt for a void bite or one without a peak.
std::optional<double> PeakLow(const Bite& bite);
// Upper end of the interval; nullopt also for a lower bound.
std::optional<double> PeakHigh(const Bite& bite);

// A fraction as per cent with two significant digits: 0.00604 -> "0.60 %".
std::string PercentText(double fraction);
// "99 ms" below a second, "2.85 s" from there.
std::string SecondsText(double seconds);
// "0:42", "12:05", "1:02:03": a place in a recording. Negative counts as 0.
std::string ClockText(double seconds);
// 393692 -> "393 692" with narrow no-break spaces.
std::string GroupedText(std::uint64_t count);
// "1 bite", "4 bites"; `plural` empty adds an s.
std::string CountText(std::size_t count, std::string_view noun,
                      std::string_view plural = "");
// Hyphen-minus before a digit becomes U+2212.
std::string Typographic(std::string text);

}  // namespace masseter

#endif  // MASSETER_REPORT_FIGURE_TEXT_H_
