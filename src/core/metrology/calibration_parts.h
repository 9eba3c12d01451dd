// The parts of a calibration's record, as plain data: what a certificate
// prints and the logbook keeps. Fractions are relative (0.001 is 0.1 %);
// nullopt means that the readings cannot tell. Formulae: docs/calibration.md.
#ifndef MASSETER_CORE_METROLOGY_CALIBRATION_PARTS_H_
#define MASSETER_CORE_METROLOGY_CALIBRATION_PARTS_H_

#include <optional>
#include <string>
#include <vector>

#include "core/metrology/estimator.h"

namespace masseter {

struct CalibrationWarning {
  std::string code;  // docs/commands.md lists them
  std::string text;
  bool operator==(const CalibrationWarning&) const = default;
};

// Forward fit of reading on force, ISO 376's direction.
struct CalibrationCurve {
  std::vector<double> b;   // constant first
  std::vector<double> se;  // 0 where b is fixed
  double residual_sd = 0.0;
};

// Relative standard figures.
struct RelativeTerms {
  std::optional<double> repeatability;    // same placing, load given again
  std::optional<double> reproducibility;  // same place, placed anew
  std::optional<double> interpolation;    // load levels against the curve
  std::optional<double> reversibility;    // rising against falling
  std::optional<double> zero_return;      // zero after a series, of the largest
  std::optional<double> off_centre;       // between places, after the fit
  std::optional<double> resolution;       // one digit at half the largest load
  std::optional<double> reference;        // the weights or the transducer
  std::optional<double> creep;            // under a load that stands
  std::optional<double> temperature;      // of the span, away from the bench
};

// One load on the residual picture.
struct CalibrationResidual {
  double force_n = 0.0;
  double relative = 0.0;  // (estimate - reference) / reference
  double x_mm = 0.0;
  double y_mm = 0.0;
  bool rising = true;
};

// One line of the reference force's budget. `contribution` is
// |sensitivity| times the standard uncertainty of the value, relative to the
// force; the line's own standard uncertainty is contribution / |sensitivity|.
struct ReferenceTerm {
  std::string term;
  double value = 0.0;
  std::string unit;
  std::string distribution;   // "rectangular" or "normal"
  std::optional<double> dof;  // nullopt: infinite
  double sensitivity = 0.0;   // relative change of the force per unit
  double contribution = 0.0;
  std::string from;  // where the figure comes from, in words
  bool operator==(const ReferenceTerm&) const = default;
};

// ISO 376's quantities at one force, as relative ranges (not standard
// deviations): what its table of classes judges.
struct IsoLevel {
  double force_n = 0.0;
  std::optional<double> b;        // placed anew
  std::optional<double> b_prime;  // same placing
  std::optional<double> fc;       // against the cubic, signed
  std::optional<double> v;        // falling against rising
  std::string class_word;         // "00", "0.5", "1", "2", or "" for none
  bool operator==(const IsoLevel&) const = default;
};

struct Iso376 {
  Place place;  // the place that was judged: the one nearest to the middle
  std::vector<IsoLevel> levels;  // rising forces
  std::optional<double> f0;      // zero after a series, of the largest
  std::optional<double> c;       // creep from 30 s to 300 s
  std::optional<std::string> class_word;
  std::string class_reason;  // why this class, or why none
  bool operator==(const Iso376&) const = default;
};

// A load that stood: what the answer did meanwhile, relative to its start.
struct CreepRecord {
  double force_n = 0.0;
  Place place;
  double seconds = 0.0;
  int rows = 0;
  int line = 0;                            // of its first row
  std::optional<double> from_30_to_300_s;  // ISO 376's c, signed
  std::optional<double> over_30_min;       // signed
  bool operator==(const CreepRecord&) const = default;
};

// What one channel does by itself.
struct ChannelFacts {
  std::string name;
  double gain = 0.0;  // N per signal unit
  // Forward curve at the place where this channel takes most of the load;
  // rigs of several channels only.
  std::optional<CalibrationCurve> curve;
  Place curve_place;
  // How far the channel is off a straight line at the largest load, relative,
  // over all places, with its standard error; `bent` at 1 %.
  std::optional<double> curvature;
  std::optional<double> curvature_se;
  bool bent = false;
  std::optional<double> zero;        // median of its zero readings
  std::optional<double> zero_per_k;  // signal a kelvin
  std::optional<double> zero_per_k_se;
};

// A slope a kelvin and its standard error.
struct PerKelvin {
  double value = 0.0;
  double se = 0.0;
  bool matters = false;  // significant at 1 %
  bool operator==(const PerKelvin&) const = default;
};

struct TemperatureEffect {
  double low_c = 0.0;  // of the readings
  double high_c = 0.0;
  std::optional<PerKelvin> zero_n;  // newtons a kelvin
  std::optional<PerKelvin> span;    // relative a kelvin
  bool operator==(const TemperatureEffect&) const = default;
};

// One place of the bench.
struct PositionFacts {
  Place place;
  int rows = 0;  // loads there
  // Mean error when the place took no part in the fit, signed, and its root
  // mean square.
  std::optional<double> left_out_error;
  std::optional<double> left_out_rms;
  std::optional<double> single_factor_error;  // mean, signed
  std::vector<double> per_newton;  // signal of each channel, a newton
  bool operator==(const PositionFacts&) const = default;
};

// What one factor for the sum of the channels, found at one place, would have
// said at the places.
struct SingleFactor {
  double n_per_unit = 0.0;
  Place place;         // where the factor was found
  double worst = 0.0;  // signed
  double rms = 0.0;
  bool operator==(const SingleFactor&) const = default;
};

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_CALIBRATION_PARTS_H_
