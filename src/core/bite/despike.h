// Impossible single samples: a converter that was interrupted while it was
// read prints one wild word and goes on. Such a sample is replaced by the mean
// of its neighbours and remembered; two in a row are left alone.
#ifndef MASSETER_CORE_BITE_DESPIKE_H_
#define MASSETER_CORE_BITE_DESPIKE_H_

#include <cstdint>
#include <deque>
#include <vector>

#include "core/bite/force_model.h"
#include "core/bite/sample_window.h"
#include "core/rig/rig.h"

namespace masseter {

struct Spike {
  std::uint64_t row = 0;
  std::size_t channel = 0;
  double t_s = 0.0;
  // How far the replacement may be off: half the neighbours' difference.
  double doubt_n = 0.0;
  double off = 0.0;  // the word less its replacement, channel's own unit
};

// A sample is a spike when it stands off both neighbours to the same side by
// more than 2 % of the sleeve's range and more than eight times what the
// neighbours differ by, no samples being missing between them. Below 400
// samples a second a real strike can look like that, so nothing is replaced.
class Despiker {
 public:
  Despiker(const Rig& rig, const ForceModel& model);

  // Cleans the window's rows whose neighbours are known. Returns the first row
  // that is not settled yet.
  std::uint64_t Clean(SampleWindow& window);

  const std::deque<Spike>& spikes() const { return spikes_; }
  // Spikes before `row` are no longer asked for.
  void Forget(std::uint64_t row);

 private:
  bool AnyStandsOut(const SampleWindow& window, std::size_t channel,
                    std::uint64_t first, std::uint64_t end) const;
  void CleanSample(SampleWindow& window, std::size_t channel,
                   std::uint64_t row);

  bool fast_enough_;
  std::vector<double> limit_;  // a channel, in its own unit
  std::vector<double> gain_;
  std::uint64_t next_ = 1;  // first row not looked at
  std::deque<Spike> spikes_;
};

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_DESPIKE_H_
