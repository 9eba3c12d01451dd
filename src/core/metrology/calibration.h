// Calibration: from bench readings to an estimator, judged (docs/method.md
// section 3). Everything a bite's uncertainty needs later is in here, as plain
// data.
#ifndef MASSETER_CORE_METROLOGY_CALIBRATION_H_
#define MASSETER_CORE_METROLOGY_CALIBRATION_H_

#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/metrology/calibration_parts.h"
#include "core/metrology/channel_map.h"
#include "core/metrology/estimator.h"
#include "core/metrology/readings.h"
#include "core/metrology/weight_class.h"
#include "core/signal/second_order.h"

namespace masseter {

enum class CurveOrder { kAuto = 0, kLinear = 1, kQuadratic = 2, kCubic = 3 };

struct CalibrateOptions {
  std::optional<double> gravity_m_s2;  // else standard gravity, with a warning
  bool gravity_from_latitude = false;  // normal gravity, not a stated value
  double air_density_kg_m3 = 1.2;      // conventional, OIML D 28
  std::optional<double> weight_density_kg_m3;  // else 8000
  std::optional<WeightClass> weight_class;     // else M3 is assumed
  // Half-width of what the weights may be off by, relative; wins over a class.
  std::optional<double> weight_half_width;
  // Expanded relative uncertainty (k = 2) of a reference transducer.
  std::optional<double> transducer_u95;
  double lever = 1.0;             // force on the sleeve over force of the load
  double lever_half_width = 0.0;  // in the factor's own unit
  CurveOrder curve = CurveOrder::kAuto;  // one-channel rigs
  bool zero = true;  // subtract zero readings; false fits readings as given
  std::string performed_on;  // "2026-05-16" when it is not today; may be empty
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
  ChannelMap channel_map;  // what a channel reads when the others are known
  std::vector<CalibrationWarning> warnings;
  std::vector<CalibrationResidual> residuals;

  // --- for the certificate and the history ---
  std::string performed_on;  // as given, or empty
  bool by_mass = false;
  bool zeroed = true;
  int series = 0;
  std::vector<ReferenceTerm> reference_budget;
  std::vector<ChannelFacts> channel_facts;
  std::vector<PositionFacts> position_map;
  std::optional<SingleFactor> single_factor;
  std::optional<Iso376> iso376;
  std::optional<CreepRecord> creep;
  std::optional<TemperatureEffect> temperature;
  // Beyond force_high_n the standard uncertainty grows by this share of the
  // force for each force_high_n that it is exceeded by.
  double beyond_range = 0.001;
  // How the sleeve rings, from the newest tap test: not of the readings and not
  // part of the stored document.
  std::optional<SecondOrder> ringing;
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
