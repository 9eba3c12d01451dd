// The certificate's facts in words: the instrument, the conditions of the
// bench, how long and how far the calibration holds.
#ifndef MASSETER_APP_CERTIFICATE_FACTS_H_
#define MASSETER_APP_CERTIFICATE_FACTS_H_

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "app/book.h"
#include "core/base/error.h"

namespace masseter {

// Names and values, ready to print.
using CertificateFacts = std::vector<std::pair<std::string, std::string>>;

// "2026-05-16": when the readings were taken, else when they were evaluated.
std::string CalibrationDay(const Calibration& calibration,
                           const CalibrationRecord& record);

CertificateFacts IdentificationFacts(const Book& book,
                                     const CalibrationRecord& record,
                                     const Calibration& calibration);

// Temperatures come from the readings that the logbook keeps word for word.
CertificateFacts ConditionFacts(const Rig& rig, const CalibrationRecord& record,
                                const Calibration& calibration);

// With the limits and check loads of the logbook.
Expected<CertificateFacts> ValidityFacts(const Book& book,
                                         const CalibrationRecord& record,
                                         const Calibration& calibration);

}  // namespace masseter

#endif  // MASSETER_APP_CERTIFICATE_FACTS_H_
