// The channels of one bite side by side, in newtons by channel gains: what the
// detectors of stuck, loose and glitching channels look at.
#ifndef MASSETER_CORE_TRUST_CHANNEL_TRACES_H_
#define MASSETER_CORE_TRUST_CHANNEL_TRACES_H_

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "core/bite/measure.h"
#include "core/rig/rig.h"

namespace masseter {

struct ChannelTraces {
  std::uint64_t first_row = 0;
  std::vector<std::vector<double>> p;    // [channel][i], above the zero before
  std::vector<std::vector<double>> raw;  // [channel][i], as printed
  std::vector<double> total;             // sum of p
  std::vector<char> fresh;               // a break lies before this sample
  std::vector<double> noise_n;           // sd of a sample, a channel
  std::vector<double> digit_n;  // smallest step that a channel was seen to take
  std::vector<double> ratio;    // usual p_c / (sum of the others) under load
  // Sum of a channel's others that counts as load: a quarter of what they
  // carry in the tenth of the event that loads them most.
  std::vector<double> loaded_n;

  std::size_t channels() const { return p.size(); }
  std::size_t size() const { return total.size(); }
  double Others(std::size_t c, std::size_t i) const {
    return total[i] - p[c][i];
  }
};

// The event's rows and half a second on either side.
ChannelTraces TraceChannels(const ForceModel& model, const SampleWindow& window,
                            const EventContext& context);

// Median of the first differences' magnitude, as the standard deviation of a
// sample (MAD of white noise); `v` is used up. 0 for fewer than 8 values.
double NoiseOfSteps(std::vector<double>& steps);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_CHANNEL_TRACES_H_
