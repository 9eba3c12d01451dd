#include "core/trust/dynamics_line.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/metrology/type_b.h"
#include "core/signal/channel_class_filter.h"

namespace masseter {
namespace {

constexpr double kClass = 60.0;  // as force_series.cc filters
constexpr double kParabolaShare = 0.1;

// Gain of the force's filter for a ring, where sampling puts it.
double FilterGain(double ring_hz, double period_s) {
  const double rate = 1.0 / period_s;
  if (HighestChannelClass(rate) < kClass) return 1.0;
  const auto filter = DesignChannelClass(kClass, rate);
  if (!filter) return 1.0;
  const double seen = std::abs(ring_hz - rate * std::round(ring_hz / rate));
  return std::max(kParabolaShare, TwoPassGain(*filter, seen));
}

}  // namespace

double DynamicBound(const SecondOrder& system, double period_s,
                    std::optional<double> rise_s, double width_s) {
  const SecondOrder worse = WorseOf(system);
  const double ring = RingAfterRise(worse, rise_s.value_or(0.0)) *
                      FilterGain(worse.natural_hz, period_s);
  // Beyond resonance a crest cannot be followed at all; the bound ends at 1.
  const double crest = width_s > 0.0 && 0.5 / width_s < worse.natural_hz
                           ? std::abs(CrestError(worse, width_s))
                           : (width_s > 0.0 ? 1.0 : 0.0);
  return std::min(1.0, ring + crest);
}

BudgetLine DynamicsLine(const SecondOrder& system, double period_s,
                        const PeakEstimate& peak, const Bite& bite) {
  const double bound =
      DynamicBound(system, period_s, bite.rise_s, peak.width_s);
  return {"dynamics", RectangularSd(bound * peak.force_n),
          std::numeric_limits<double>::infinity(), "rectangular", peak.force_n};
}

}  // namespace masseter
