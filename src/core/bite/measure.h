// From an event to a bite: every figure of docs/method.md section 5 with its
// uncertainty and the evidence against it.
#ifndef MASSETER_CORE_BITE_MEASURE_H_
#define MASSETER_CORE_BITE_MEASURE_H_

#include <optional>
#include <vector>

#include "core/bite/bite.h"
#include "core/bite/despike.h"
#include "core/bite/event_tracker.h"
#include "core/bite/force_model.h"
#include "core/bite/force_series.h"
#include "core/bite/peak.h"
#include "core/bite/sample_window.h"
#include "core/bite/shape.h"
#include "core/rig/rig.h"
#include "core/trust/figure_steps.h"

namespace masseter {

// A bite with the samples it was measured on, from half a second before to
// half a second after.
struct MeasuredBite {
  Bite bite;
  ForceSeries series;
  Span span;  // of the bite within the series
  std::optional<double> squeeze_at_s;
  std::vector<double> regrips_s;
  PeakEstimate peak;  // before the evidence
  LoadEvent event;
  // How a plain read-out's figure becomes this one; only when asked for.
  std::optional<FigureSteps> steps;
};

// Everything known around one event.
struct EventContext {
  LoadEvent event;
  ZeroPair zeros;
  Thresholds limits;
  double sample_noise_n = 0.0;
  double frame_noise_n = 0.0;
  double period_s = 0.0;  // nominal; the event's own steps count if it has some
  // Single samples that were replaced; null for none. Not owned.
  const std::deque<Spike>* spikes = nullptr;
  std::optional<Inertia> inertia;     // when the device tells its acceleration
  bool steps = false;                 // fill MeasuredBite::steps
  const SampleWindow* raw = nullptr;  // before repair. Not owned
};

// Bites shorter or weaker than these are touches: no bite.
inline constexpr double kShortestBiteS = 0.06;
inline constexpr double kWeakestBiteInOn = 1.4;  // times the on threshold

// nullopt when the event is only a touch. `window` holds the event's rows with
// half a second on either side as far as the capture has them.
std::optional<MeasuredBite> MeasureBite(const Rig& rig, const ForceModel& model,
                                        const SampleWindow& window,
                                        const EventContext& context);

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_MEASURE_H_
