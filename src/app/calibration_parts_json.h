// The parts of a calibration's record as JSON and back: what `calibrate`
// answers beyond the figures of its first page, and the certificate prints.
#ifndef MASSETER_APP_CALIBRATION_PARTS_JSON_H_
#define MASSETER_APP_CALIBRATION_PARTS_JSON_H_

#include <nlohmann/json.hpp>

#include "core/metrology/calibration.h"

namespace masseter {

// [x_mm, y_mm] lists.
nlohmann::ordered_json PlacesJson(const std::vector<Place>& places);
std::vector<Place> ReadPlaces(const nlohmann::ordered_json& j);

// {"form","b","se","residual_sd"}
nlohmann::ordered_json CurveObject(const CalibrationCurve& curve);
CalibrationCurve ReadCurve(const nlohmann::ordered_json& j);

// Adds the fields of docs/commands.md, "calibrate", from "class" on.
void AddParts(const Calibration& calibration, nlohmann::ordered_json& j);
// Reads them back; throws nlohmann's exceptions where a field is missing or of
// another kind (calibration_json.cc catches them).
void ReadParts(const nlohmann::ordered_json& j, Calibration& calibration);

}  // namespace masseter

#endif  // MASSETER_APP_CALIBRATION_PARTS_JSON_H_
