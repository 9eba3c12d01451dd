// Calibration: from bench readings to an estimator, judged (docs/method.md
// section 3). Everything a bite's uncertainty needs later is in here, as plain
// data.
#ifndef MASSETER_CORE_METROLOGY_CALIBRATION_H_
#define MASSETER_CORE_METROLOGY_CALIBRATION_H_

#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/metrology/estimator.h"
#include "core/metrology/readings.h"

namespace masseter {

enum class CurveOrder { kAuto = 0, kLinear = 1, kQuadratic = 2, kCubic = 3 };

struct CalibrateOptions {
  std::optional<double> gravity_m_s2;  // else standard gravity, with a warning
  double air_density_kg_m3 = 1.2;      // conventional, OIML D 28
  double weight_density_kg_m3 = 8000.0;
  CurveOrder curve = CurveOrder::kAuto;  // one-channel rigs
  bool zero = true;  // subtract zero readings; false fits readings as given
};

struct CalibrationWarning {
  std::string code;  // docs/commands.md lists them
  std::string text;
};

// Forward fit of reading on force, ISO 376's direction.
struct CalibrationCurve {
  std::vector<double> b;   // constant first
  std::vector<double> se;  // 0 where b is fixed
  double residual_sd = 0.0;
};

// Relative standard figures; nullopt where the readings cannot tell.
struct RelativeTerms {
  std::optional<double> repeatability;    // same placing, load given again
  std::optional<double> reproducibility;  // same place, placed anew
  std::optional<double> interpolation;    // load levels against the curve
  std::optional<double> reversibility;    // rising against falling
  std::optional<double> zero_return;      // zero after a series, of the largest
  std::optional<double> off_centre;       // between places, after the fit
  std::optional<double> resolution;       // one digit at half the largest load
  std::optional<double> reference;        // the weights or the transducer
};

// One load on the residual picture.
struct CalibrationResidual {
  double force_n = 0.0;
  double relative = 0.0;  // (estimate - reference) / reference
  double x_mm = 0.0;
  double y_mm = 0.0;
  bool rising = true;
};

struct Calibration {
  Estimator estimator;
  std::vector<std::string> channels;
  int rows = 0;
  double gravity_m_s2 = 0.0;
  double force_low_n = 0.0;  // smallest and largest load above zero
  double force_high_n = 0.0;
  std::optional<CalibrationCurve> curve;  // one-channel rigs
  RelativeTerms relative;
  std::optional<double> left_out_rms;
  std::optional<double> left_out_max;
  // Relative standard uncertainty of a force at an unknown place within the
  // calibrated area, all of the calibration's terms together, and 1.96 of it.
  double relative_standard_u = 0.0;
  double expanded_relative_u95 = 0.0;
  // What the smallest loads are off by beyond that, newtons: hysteresis and
  // friction that do not grow with the force. Standard uncertainty.
  double absolute_standard_u_n = 0.0;
  bool place_seen = false;  // two channels with positions at least
  // Centres of force of the calibration's loads: the area they span is the
  // area where a grip is known (convex hull, counter-clockwise).
  std::vector<Place> area;
  std::vector<CalibrationWarning> warnings;
  std::vector<CalibrationResidual> residuals;
};

// Zeroes each series, fits the estimator, judges it. Errors name the line: a
// series without zero reading, loads all alike where a curve is asked, fewer
// than three loads above zero. `file` names the readings in messages.
Expected<Calibration> Calibrate(const Rig& rig, const ReadingsTable& readings,
                                const CalibrateOptions& options,
                                const std::string& file);

// True when `place` lies in the calibrated area or within `margin_mm` of it.
bool InArea(const std::vector<Place>& area, Place place, double margin_mm);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_CALIBRATION_H_
