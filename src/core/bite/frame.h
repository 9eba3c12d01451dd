// Twenty milliseconds of samples in one record: what detection and zero
// tracking look at. Frames are counted in rows from the capture's start, so
// that a capture gives the same frames however it arrives.
#ifndef MASSETER_CORE_BITE_FRAME_H_
#define MASSETER_CORE_BITE_FRAME_H_

#include <array>
#include <cstdint>

#include "core/bite/sample_window.h"
#include "core/metrology/estimator.h"

namespace masseter {

inline constexpr double kFrameS = 0.02;

struct Frame {
  std::uint64_t first_row = 0;
  std::uint64_t rows = 0;
  double start_s = 0.0;
  double end_s = 0.0;  // time of its last sample
  std::array<double, kMaxChannels> mean{};
  // Half the mean square of successive differences a channel: the variance
  // of white noise whatever the trend (von Neumann, 1941). Unused when
  // `broken`.
  std::array<double, kMaxChannels> noise_variance{};
  std::array<double, 3> accel_g{};  // mean, where the device tells it
  bool has_accel = false;
  bool broken = false;  // a gap or a restart lies in or before it
};

// Samples a frame at a nominal rate: 20 ms, one at least.
std::uint64_t FrameRows(double rate_hz);

Frame MakeFrame(const SampleWindow& window, std::uint64_t first_row,
                std::uint64_t rows);

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_FRAME_H_
