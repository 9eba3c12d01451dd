// Which calibration a bite is measured with, and whether it was still good at
// the bite's moment: ties core/trust/stale.h to what the logbook keeps.
//
// Wall time of a bite: the host's clock at the beginning of a recording plus
// the bite's time in it. A capture that was read from a file carries no wall
// time: it is taken as recorded when it came into the logbook.
#ifndef MASSETER_APP_VALIDITY_H_
#define MASSETER_APP_VALIDITY_H_

#include <optional>
#include <string>

#include "app/book.h"
#include "core/trust/stale.h"

namespace masseter {

struct InForce {
  std::int64_t id = 0;  // 0: none
  double created_unix_s = 0.0;
  std::optional<Calibration> calibration;
  const Calibration* OrNull() const {
    return calibration ? &*calibration : nullptr;
  }
};

// The calibration that began last before the capture came in, whatever order
// they were evaluated in; of two that began together the one evaluated later.
// Failing that the one its bites were measured with; failing that the newest.
Expected<InForce> CalibrationFor(const Logbook& logbook,
                                 const CaptureInfo& capture);

// A file has no host clock; everything else came in as it was sampled.
bool HasWallTime(const CaptureInfo& capture);
// Wall time of a moment of a capture.
double WallTime(const CaptureInfo& capture, double t_s);

// Limits that the maker set; nullopt where none is.
struct ValidityLimits {
  std::optional<double> calibration_for_s;
  std::optional<double> check_every_s;
};
Expected<ValidityLimits> LimitsOf(const Logbook& logbook);
// Stores what is given, keeps the rest; 0 takes a limit away. The bites are
// derived anew when next asked for.
Expected<ValidityLimits> SetLimits(Logbook& logbook,
                                   const ValidityLimits& change,
                                   double now_unix_s);

// Nothing without a calibration.
Expected<std::optional<Validity>> ValidityOf(const Logbook& logbook,
                                             const InForce& in_force);

// Adds what `validity` holds against the bite.
void DateBite(const std::optional<Validity>& validity,
              const CaptureInfo& capture, Bite& bite);

// "30d", "12h", "90m", "45s"; a number alone is days. The option's name goes
// into the error.
Expected<double> ParseSpan(const std::string& text, const std::string& option);

}  // namespace masseter

#endif  // MASSETER_APP_VALIDITY_H_
