// What each channel does by itself: its forward curve, its departure from a
// straight line, its zero.
#ifndef MASSETER_CORE_METROLOGY_CHANNEL_FACTS_H_
#define MASSETER_CORE_METROLOGY_CHANNEL_FACTS_H_

#include <optional>
#include <vector>

#include "core/metrology/bench_set.h"
#include "core/metrology/calibration_parts.h"
#include "core/metrology/estimator.h"
#include "core/rig/rig.h"

namespace masseter {

// One entry a channel. The curvature q of channel i is that of
//
//   v = s_p F (1 + q (F / F_max - 1))
//
// with a slope s_p of its own at every place p, over the places where the
// channel takes a tenth of its largest share and more; relative, at F_max.
// Two linear steps (the s_p, then q with corrections of the s_p). It needs
// three levels of force.
std::vector<ChannelFacts> JudgeChannels(const Rig& rig,
                                        const PreparedBench& prepared,
                                        const Estimator& estimator,
                                        const std::vector<PositionFacts>& map,
                                        bool zeroed);

// The curvature that is left in the answers (one a load, newtons), by the same
// fit. nullopt with fewer than three levels of force.
struct Curvature {
  double value = 0.0;
  double se = 0.0;
  bool bent = false;  // significant at 1 %
};
std::optional<Curvature> CurvatureLeft(const PreparedBench& prepared,
                                       const std::vector<double>& answer);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_CHANNEL_FACTS_H_
