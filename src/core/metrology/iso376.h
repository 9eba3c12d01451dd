// ISO 376's quantities and classes (ISO 376:2011, clauses 7 and 8). Formulae
// and limits are from memory: the standard's text is not openly kept.
//
// With X1 and X2 the deflections under one rising load in the same placing,
// X3 and X5 in new placings, X4 and X6 under the falling loads that belong to
// X3 and X5, i0 and if the zeros before and after a series, XN the deflection
// under the largest load, Xr the mean of X1, X3 and X5:
//
//   b  = |max - min| / mean of X1, X3, X5          placed anew
//   b' = |X2 - X1| / mean of X1, X2                same placing
//   fc = (Xr - Xa) / Xa, Xa = a1 F + a2 F^2 + a3 F^3 fitted to Xr
//   f0 = (if - i0) / XN
//   v  = mean of |X4 - X3| / X3 and |X6 - X5| / X5
//   c  = |i300 - i30| / XN, 30 s and 300 s after the load was put on
//
// Here a placing is a series, more than three are taken as they come, and all
// figures are fractions, not per cent.
#ifndef MASSETER_CORE_METROLOGY_ISO376_H_
#define MASSETER_CORE_METROLOGY_ISO376_H_

#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "core/metrology/bench_set.h"
#include "core/metrology/calibration_parts.h"

namespace masseter {

// Limits of one class, fractions.
struct IsoClass {
  std::string_view word;
  double b, b_prime, fc, f0, v, c;
  double reference_u95;     // expanded, k = 2, of the calibration force
  double resolution_steps;  // smallest force over the resolution
};
// "00", "0.5", "1", "2".
std::span<const IsoClass> IsoClasses();

// What holds for every force of one calibration.
struct IsoCommon {
  std::optional<double> f0;
  std::optional<double> c;
  double reference_u95 = 0.0;
  double resolution_n = 0.0;  // 0: not known, not judged
};

// The best class whose limits hold at this force, or "". Quantities that are
// nullopt are not judged.
std::string_view ClassOfLevel(const IsoLevel& level, const IsoCommon& common);

// Judges the place nearest to the middle. `deflection` is a value a load of
// `prepared`: the channel's own signal, or the answer of several.

Iso376 JudgeIso376(const PreparedBench& prepared,
                   const std::vector<double>& deflection,
                   const IsoCommon& common);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_ISO376_H_
