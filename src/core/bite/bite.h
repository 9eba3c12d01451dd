// One bite as measured: the figures, how sure they are, and why they may be
// believed. Field names and meanings follow docs/method.md section 5 and the
// JSON of docs/commands.md.
#ifndef MASSETER_CORE_BITE_BITE_H_
#define MASSETER_CORE_BITE_BITE_H_

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace masseter {

enum class Verdict : std::uint8_t { kSound, kDoubtful, kVoid };
std::string_view VerdictWord(Verdict verdict);  // "sound" "doubtful" "void"

// Why a figure may not be believed. The words are in docs/method.md section 6.
enum class ReasonCode : std::uint8_t {
  kGap,
  kRestart,
  kSag,
  kRail,
  kOverload,
  kStuck,
  kGlitch,
  kLoose,
  kZero,
  kSlow,
  kEdge,
  kOdd,
  kMotion,
  kUncalibrated,
  kStale,
  kPlace,      // one cell cannot see where it was gripped
  kClock,      // samples come unevenly, or the clock does not tell their time
  kWithdrawn,  // struck out by the operator, in whose words the text is
};
std::string_view ReasonWord(ReasonCode code);  // "gap", "restart", ...

// One piece of evidence against a figure.
struct Reason {
  ReasonCode code = ReasonCode::kGap;
  std::string text;                // one sentence a club understands
  std::optional<double> effect_n;  // what it could have done to the peak, N
  double start_s = 0.0;            // the span of samples it speaks of
  double end_s = 0.0;
  std::string advice;  // what to do about it
  // Nothing but a lower bound is left of the peak. Used by the verdict, whose
  // `at_least` is what is stored.
  bool lower_bound = false;
};

// One line of the peak's uncertainty budget (GUM): a standard uncertainty in
// newtons with its degrees of freedom (infinity for type B) and the shape of
// its distribution ("normal", "rectangular", ...; "one-sided" for a loss, which
// the true peak can only be above: core/trust/propagate.h).
struct BudgetLine {
  std::string term;
  double standard_uncertainty_n = 0.0;
  double degrees_of_freedom = 0.0;
  std::string distribution;
  // Newtons for a unit of the input: the force for a relative input, 1 for one
  // in newtons.
  double sensitivity = 1.0;
};

// All times are seconds from the capture's first sample (device clock, wraps
// undone); all forces newtons. A measure that cannot be had is nullopt.
struct Bite {
  std::int64_t id = 0;  // unique within the logbook, 0 until stored
  std::string dog;      // empty when nobody was up
  double start_s = 0.0;
  double end_s = 0.0;
  double duration_s = 0.0;
  std::optional<double> peak_n;
  std::optional<double> peak_u95_n;  // half-width of the 95 % interval
  std::optional<double> peak_lo_n;   // only when the interval is not symmetric
  std::optional<double> peak_hi_n;
  double peak_at_s = 0.0;
  std::optional<double> strike_n;       // highest in the first 0.20 s
  std::optional<double> squeeze_n;      // highest mean over 0.25 s after that
  std::optional<double> squeeze_u95_n;  // its 95 % half-width
  std::optional<double> held_n;         // mean while above half the peak
  std::optional<double> impulse_ns;     // integral from start to end
  std::optional<double> rise_s;         // 10 % to 90 % of the peak
  std::optional<double> loading_rate_n_s;
  int regrips = 0;
  std::optional<double> shake_hz;
  std::optional<double> held_cv;
  std::optional<double> out_s;  // "out" mark to the end of the bite
  std::optional<double> x_mm;   // centre of force while held
  std::optional<double> y_mm;
  Verdict verdict = Verdict::kVoid;
  bool at_least = false;  // only a lower bound is known
  std::vector<Reason> reasons;
  std::vector<BudgetLine> budget;
  // Span of raw samples behind the bite, [first, last], capture row numbers.
  std::uint64_t first_row = 0;
  std::uint64_t last_row = 0;
};

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_BITE_H_
