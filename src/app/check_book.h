// `check`: a known load measured with the calibrated sleeve, stored in the
// logbook. Check loads decide whether bites are `stale`.
#ifndef MASSETER_APP_CHECK_BOOK_H_
#define MASSETER_APP_CHECK_BOOK_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "app/validity.h"
#include "core/base/error.h"
#include "core/bench/check_load.h"

namespace masseter {

struct CheckRequest {
  std::optional<double> mass_kg;  // one of the two
  std::optional<double> force_n;
  double weight_tolerance = 5e-4;     // relative, of a weight
  std::optional<double> force_u95_n;  // of a stated force; else 0.24 %
  std::optional<Place> place;         // where the load stood
  std::optional<Tolerance> tolerance;
};

struct CheckAnswer {
  std::int64_t id = 0;
  std::int64_t calibration = 0;
  CheckResult result;
  std::optional<Place> placed;
  // Bites made with this calibration that are stale by this check.
  std::size_t stale_bites = 0;
};

// The load asked for, with its uncertainty.
Expected<KnownLoad> LoadOf(const CheckRequest& request,
                           const Calibration& calibration);

// Stores a check that was judged; returns its number. Bites of closed captures
// are derived anew when next asked for.
Expected<std::int64_t> StoreCheck(Book& book, const CheckRequest& request,
                                  const CheckResult& result);

// From a capture that begins unloaded, then bears the load.
Expected<CheckAnswer> CheckFromCapture(const std::string& book_path,
                                       const CheckRequest& request,
                                       const std::string& capture_path);

// From readings taken by hand: zero, load and, if there is one, zero again.
Expected<CheckAnswer> CheckFromReadings(
    const std::string& book_path, const CheckRequest& request,
    const SettledReading& zero, const SettledReading& loaded,
    const std::optional<SettledReading>& zero_after);

// A check load of the past, as `check BOOK` lists it.
struct CheckLine {
  std::int64_t id = 0;
  double at_unix_s = 0.0;
  std::int64_t calibration = 0;
  double load_n = 0.0;
  double sleeve_n = 0.0;
  double difference_n = 0.0;
  double limit_n = 0.0;
  double e_n = 0.0;
  bool within = false;
};
struct CheckHistory {
  std::vector<CheckLine> checks;
  ValidityLimits limits;
  double calibrated_unix_s = 0.0;
  std::size_t stale_bites = 0;
};
Expected<CheckHistory> ChecksOf(const std::string& book_path);

// Changes the limits; see ValidityLimits.
Expected<ValidityLimits> ChangeLimits(const std::string& book_path,
                                      const ValidityLimits& change);

}  // namespace masseter

#endif  // MASSETER_APP_CHECK_BOOK_H_
