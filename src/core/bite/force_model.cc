#include "core/bite/force_model.h"

#include <algorithm>

namespace masseter {
namespace {

// A cell at its rated load drives common converters to about half their
// scale (2 mV/V into 3.9 mV/V: docs/method.md section 6).
constexpr double kShareOfScale = 0.5;
// Without any word on the range: a sleeve for large dogs.
constexpr double kUnstatedRangeN = 5000.0;

double RangeInOwnUnit(const Rig& rig) {
  double range = 0.0;
  for (const Channel& channel : rig.channels) {
    if (!channel.adc_max) return 0.0;
    range += *channel.adc_max * kShareOfScale;
  }
  return range;
}

}  // namespace

ForceModel MakeForceModel(const Rig& rig, const Calibration* calibration) {
  ForceModel out;
  const double full = rig.FullRange().value_or(Force(kUnstatedRangeN)).si();
  if (calibration != nullptr) {
    out.estimator = calibration->estimator;
    out.calibration = *calibration;
    out.in_newtons = true;
    out.range_n = full;
    return out;
  }
  Estimator& e = out.estimator;
  e.form = EstimatorForm::kGains;
  out.in_newtons = true;
  for (const Channel& channel : rig.channels) {
    const auto unit = NewtonsPerUnit(channel.unit);
    out.in_newtons = out.in_newtons && unit.has_value();
    e.gain.push_back(unit.value_or(1.0));
    e.coeffs.push_back(1.0);
  }
  if (rig.HasPositions()) {
    for (const Channel& channel : rig.channels) {
      e.cells.push_back({channel.x->si() * 1e3, channel.y->si() * 1e3});
    }
  }
  out.range_n = out.in_newtons ? full : RangeInOwnUnit(rig);
  e.force_scale_n = out.range_n > 0.0 ? out.range_n : 1.0;
  e.floor_n = 0.002 * e.force_scale_n;
  return out;
}

}  // namespace masseter
