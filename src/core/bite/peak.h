// The highest force of a bite, and what sampling and noise leave open.
#ifndef MASSETER_CORE_BITE_PEAK_H_
#define MASSETER_CORE_BITE_PEAK_H_

#include <cstddef>

#include "core/bite/force_series.h"

namespace masseter {

struct PeakEstimate {
  double force_n = 0.0;
  double at_s = 0.0;
  std::size_t index = 0;       // sample nearest to it
  double noise_u_n = 0.0;      // standard uncertainty from noise
  double shape_u_n = 0.0;      // what crest shape and filter leave open
  double width_s = 0.0;        // of the half-sine with this crest's curvature
  double sampling_loss = 0.0;  // worst relative loss of such a half-sine
  // How much higher a kinked crest may stand between the samples, newtons;
  // sampled faster than 250 times a second: 0.
  double kink_n = 0.0;
  // Sampled so slowly that a whole strike may pass between two samples: the
  // highest sample is a lower bound of the peak.
  bool blind = false;
  // What the sleeve's own motion added at the peak, taken off, newtons; its
  // standard uncertainty; how far the sleeve was from rest, g.
  double inertia_n = 0.0;
  double inertia_u_n = 0.0;
  double moved_g = 0.0;
};

// Fewer than 2.5 samples fall on a half-sine of 80 ms, the shortest strike that
// is assumed (an assumption: no published rise time was found).
bool MayMissAStrike(double period_s);

// Highest filtered sample of [begin, end), refined by a parabola through the
// raw samples around it over the widest stretch that noise cannot tell from a
// parabola: noise is averaged away where the crest is broad, a sharp crest is
// left alone. The parabola's top stands between samples, which undoes most of
// what sampling loses. A crest of fewer than nine samples tells its shape
// badly: its top may as well be the highest sample, and counts for more in
// `shape_u_n`.
PeakEstimate FindPeak(const ForceSeries& series, std::size_t begin,
                      std::size_t end, double sample_noise_n);

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_PEAK_H_
