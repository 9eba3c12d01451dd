// The force of one bite, sample by sample: raw and filtered, with its breaks.
#ifndef MASSETER_CORE_BITE_FORCE_SERIES_H_
#define MASSETER_CORE_BITE_FORCE_SERIES_H_

#include <cstdint>
#include <optional>
#include <vector>

#include "core/bite/force_model.h"
#include "core/bite/inertia.h"
#include "core/bite/sample_window.h"
#include "core/bite/zero_tracker.h"

namespace masseter {

// The zeros around a bite. The one before it counts: what the zero is off
// afterwards is mostly the cover and the cells coming back from the load, a
// part of the signal that weights on the bench had too. Only when the zero
// `moved` by more than that, at an unknown moment, is it taken to go straight
// from one to the other over the time of the bite, so that both are equally
// wrong.
struct ZeroPair {
  ZeroEstimate before;
  std::optional<ZeroEstimate> after;
  bool moved = false;
  double start_s = 0.0;  // the bite, where the zero goes over
  double end_s = 0.0;
};

struct ForceSeries {
  std::uint64_t first_row = 0;
  double period_s = 0.0;
  std::vector<double> t_s;
  std::vector<double> raw_n;       // estimator of the zeroed signals
  std::vector<double> filtered_n;  // zero-phase channel class filter of a run
  std::vector<Break> before;       // as in the samples
  double filter_noise_gain = 1.0;  // sd of filtered over sd of raw noise
  double cutoff_hz = 0.0;          // -3 dB of the filter; 0 for none

  std::size_t size() const { return t_s.size(); }
};

// Zero of channel c at time t.
double MovingZeroAt(const ZeroPair& zeros, std::size_t channel, double t_s);
inline double ZeroAt(const ZeroPair& zeros, std::size_t channel, double t_s) {
  const bool stands = !zeros.moved || zeros.end_s <= zeros.start_s;
  return stands ? zeros.before.value[channel]
                : MovingZeroAt(zeros, channel, t_s);
}

// Rows [first, end) of the window. The filter is CFC 60 (ISO 6487) where the
// sampling rate is at least ten times its class (common practice, SAE J211-1);
// below that the samples stay as they are, since a lower class would take more
// off the peak than noise adds to it. Runs between breaks are filtered one by
// one: nothing is carried over missing samples. With `inertia`, what the
// sleeve's own motion adds is taken off.
ForceSeries MakeForceSeries(const SampleWindow& window, std::uint64_t first,
                            std::uint64_t end, const ForceModel& model,
                            const ZeroPair& zeros, double period_s,
                            const Inertia* inertia = nullptr);

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_FORCE_SERIES_H_
