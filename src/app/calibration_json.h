// Calibrations as JSON: the answer of `calibrate` and, with the estimator and
// residuals added, the document that the logbook keeps.
#ifndef MASSETER_APP_CALIBRATION_JSON_H_
#define MASSETER_APP_CALIBRATION_JSON_H_

#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>

#include "core/base/error.h"
#include "core/metrology/calibration.h"

namespace masseter {

// The answer (docs/commands.md).
nlohmann::ordered_json CalibrationAnswer(const Calibration& calibration,
                                         std::int64_t id);

// The stored document and back; every double survives bit for bit (shortest
// text that reads back the same).
std::string CalibrationDocument(const Calibration& calibration);
Expected<Calibration> ParseCalibrationDocument(const std::string& text);

// "four channel gains with a correction for the place of the load"
std::string EstimatorWords(const Estimator& estimator);
// "v = b0 + b1 F + b2 F^2"
std::string CurveForm(const CalibrationCurve& curve);

}  // namespace masseter

#endif  // MASSETER_APP_CALIBRATION_JSON_H_
