// A known load measured with the calibrated sleeve: does it still read what
// it should?
//
//   E = |F_sleeve - F_load| / sqrt(U_sleeve^2 + U_load^2)                 (1)
//
// with both U expanded to 95 %: the normalised error of ISO 13528 and of
// comparisons under ISO/IEC 17043. Within when E <= 1, or, when the maker
// states a tolerance, when the difference is not larger than that tolerance.
//
// U_sleeve holds the calibration's expanded uncertainty of the force, its
// part that does not grow with it, the reading's noise and half of what the
// zero moved over the check (rectangular).
//
// Pure; safe from several threads.
#ifndef MASSETER_CORE_BENCH_CHECK_LOAD_H_
#define MASSETER_CORE_BENCH_CHECK_LOAD_H_

#include <optional>
#include <span>
#include <vector>

#include "core/base/error.h"
#include "core/bench/settle.h"
#include "core/metrology/calibration.h"
#include "core/signal/sample_block.h"

namespace masseter {

// The load itself.
struct KnownLoad {
  double force_n = 0.0;
  double expanded_n = 0.0;  // 95 %
};

// A weight under the calibration's own gravity, in air of 1.2 kg/m3.
// `tolerance` is relative, the weight lies within it (rectangular); OIML R111
// class M3 is 5e-4. To that comes 1e-4 for the local gravity of a place that
// is known by its latitude only (two parts, rectangular each).
Expected<KnownLoad> LoadOfMass(double mass_kg, double gravity_m_s2,
                               double tolerance = 5e-4);

struct Tolerance {
  double relative = 0.0;  // of the load
  double newtons = 0.0;
  double LimitAt(double force_n) const;  // the larger of both
};

struct CheckResult {
  double load_n = 0.0;
  double load_u95_n = 0.0;
  double sleeve_n = 0.0;
  double sleeve_u95_n = 0.0;
  double difference_n = 0.0;  // sleeve - load
  double e_n = 0.0;           // equation (1)
  double limit_n = 0.0;       // largest difference that is within
  double zero_change_n = 0.0;
  bool within = false;
  std::optional<Place> place;  // centre of force, where it can be seen
};

// `zero_after` may be null. Signals as read, not zero corrected.
CheckResult JudgeCheck(const Calibration& calibration, const KnownLoad& load,
                       const SettledReading& zero, const SettledReading& loaded,
                       const SettledReading* zero_after,
                       const std::optional<Tolerance>& tolerance);

// Finds the stretches of a capture in which the sleeve stood still: the zero
// at its beginning, the load, and the zero after it if there is one. The load
// is the settled window with the most force; a zero is settled with less than
// a tenth of it. Errors: nothing stood still for `rule.window_s`; the capture
// begins under load; no load follows the zero.
struct CheckWindows {
  SettledReading zero;
  SettledReading loaded;
  std::optional<SettledReading> zero_after;
};
Expected<CheckWindows> FindCheckWindows(const Calibration& calibration,
                                        const SampleBlock& samples,
                                        const SettleRule& rule);

}  // namespace masseter

#endif  // MASSETER_CORE_BENCH_CHECK_LOAD_H_
