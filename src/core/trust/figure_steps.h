// From what a plain read-out would show of a bite to the figure that is
// reported, step by step: how much each correction was worth. Two bites are
// then compared cause by cause (disagreement.h).
#ifndef MASSETER_CORE_TRUST_FIGURE_STEPS_H_
#define MASSETER_CORE_TRUST_FIGURE_STEPS_H_

#include <string>
#include <vector>

#include "core/bite/bite.h"
#include "core/bite/force_model.h"
#include "core/rig/rig.h"

namespace masseter {

struct EventContext;
struct Mended;
struct MeasuredBite;
class SampleWindow;

// A fault that was repaired, and what the repair did to the highest sample.
struct FaultStep {
  ReasonCode code = ReasonCode::kGlitch;
  std::string channel;
  double change_n = 0.0;
};

// All newtons; as_read_n and every change add up to the peak.
//
//   as_read_n  highest sample of the channels' sum times one factor, with the
//              zero before the bite, nothing repaired: the factor that the
//              calibration's bench gives at one place (SingleFactor), or the
//              estimator where it names none
//   faults     repair, channel by channel
//   zero       the zero that moved, where the bite's zero follows it
//   place      the calibrated map in place of the one factor
//   crest      filter and parabola in place of the highest sample: noise off,
//              sampling back on
struct FigureSteps {
  double as_read_n = 0.0;
  std::vector<FaultStep> faults;
  double zero_n = 0.0;
  double place_n = 0.0;
  double crest_n = 0.0;
};

// `context.raw` holds the rows before repair, `window` those after it.
// `bite.bite.peak_n`, its rows and its series are filled.
FigureSteps StepsOf(const Rig& rig, const ForceModel& model,
                    const SampleWindow& window, const EventContext& context,
                    const Mended* mended, const MeasuredBite& bite);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_FIGURE_STEPS_H_
