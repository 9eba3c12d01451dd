// The calibrations of one logbook compared: what changed between them, and
// which change is more than its uncertainty.
//
// Between two calibrations, at the places that both have (to 3 mm):
//   sleeve   the mean over the places of F_old / F_new - 1, where both
//            estimators answer the newer one's signals under half its largest
//            load: what a bite measured with the old one would read too high
//   channel  the change of its signal a newton, by least squares over the
//            places: sum s_new s_old / sum s_old^2 - 1
// Their uncertainty: the scatter between the places (Student's t with one
// less than the places) and the references of both calibrations (the weights
// may have been others). "more" when the change exceeds its 95 % interval.
//
// Drift: the sleeve's change from the first calibration on, by a straight
// line through all over time, in relative change a month (30.44 days), with
// its 95 % interval (scatter about the line, and the first and last reference
// over the time between them); three calibrations at least, two days or more
// apart.
#ifndef MASSETER_APP_CALIBRATION_HISTORY_H_
#define MASSETER_APP_CALIBRATION_HISTORY_H_

#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/metrology/calibration.h"

namespace masseter {

struct RelativeChange {
  double value = 0.0;  // relative
  double u95 = 0.0;    // half-width of its 95 % interval
  bool more = false;   // |value| > u95
};

struct DatedCalibration {
  std::int64_t id = 0;
  double unix_s = 0.0;  // when it was made
  Calibration calibration;
};

// From one calibration to a later one.
struct CalibrationChange {
  std::int64_t from = 0;
  std::int64_t to = 0;
  double days = 0.0;
  std::size_t places = 0;  // in common
  std::optional<RelativeChange> sleeve;
  std::vector<std::optional<RelativeChange>> channels;
};

struct CalibrationHistory {
  std::string rig;
  std::vector<std::string> channels;
  std::vector<DatedCalibration> calibrations;  // by date
  std::vector<CalibrationChange> steps;        // each to the next
  std::vector<CalibrationChange> since_first;  // the first to each later one
  std::optional<RelativeChange> drift_per_month;
};

CalibrationChange CompareCalibrations(const DatedCalibration& before,
                                      const DatedCalibration& after);

// Sorts by date and compares.
CalibrationHistory HistoryOf(std::string rig,
                             std::vector<DatedCalibration> calibrations);

// The calibrations of a logbook. A calibration's day is the one it was given
// with (`calibrate --date`), else the day it was stored.
Expected<CalibrationHistory> ReadCalibrationHistory(
    const std::string& book_path);

nlohmann::ordered_json HistoryJson(const CalibrationHistory& history);

// The sleeve's change since the first calibration over time, as one SVG file.
std::string HistorySvg(const CalibrationHistory& history);

}  // namespace masseter

#endif  // MASSETER_APP_CALIBRATION_HISTORY_H_
