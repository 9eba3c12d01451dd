// Samples on one time axis: what Timeline makes of raw blocks. Values are
// still in the channels' own units; nothing is zeroed, filtered or filled in.
#ifndef MASSETER_CORE_SIGNAL_SAMPLE_BLOCK_H_
#define MASSETER_CORE_SIGNAL_SAMPLE_BLOCK_H_

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace masseter {

// What happened between the sample before and this one.
enum class Break : std::uint8_t {
  kNone,
  kGap,      // samples were lost or never taken
  kRestart,  // the device started again; how long it was away is unknown
};

// Structure of arrays: channel[c][i], t_s[i], ... for rows first_row + i.
struct SampleBlock {
  std::uint64_t first_row = 0;  // row number within the capture
  std::vector<double> t_s;      // capture time, never decreasing
  std::vector<Break> before;    // what precedes each sample
  std::vector<std::vector<double>> channel;
  std::vector<double> supply_mv;  // empty when the device does not tell
  // The sleeve's acceleration in g along x, y, z; empty without that axis.
  std::array<std::vector<double>, 3> accel_g;

  std::size_t size() const { return t_s.size(); }
};

}  // namespace masseter

#endif  // MASSETER_CORE_SIGNAL_SAMPLE_BLOCK_H_
