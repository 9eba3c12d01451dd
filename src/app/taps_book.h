// `taps`: how the sleeve rings after a tap, stored in the logbook.
#ifndef MASSETER_APP_TAPS_BOOK_H_
#define MASSETER_APP_TAPS_BOOK_H_

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/bench/ring_down.h"
#include "core/signal/sample_block.h"

namespace masseter {

// The error of a bite's peak by the sleeve's own ringing, at most.
struct BiteDynamics {
  std::int64_t bite = 0;
  double rise_s = 0.0;
  double bound = 0.0;  // relative to the peak
};

struct TapsAnswer {
  std::int64_t id = 0;
  TapTest test;
  double rate_hz = 0.0;
  double flat_hz = 0.0;       // amplitude right within 2 % up to here
  double filter_hz = 0.0;     // -3 dB of the bites' filter; 0 for none
  double bite_band_hz = 0.0;  // 0.35 / the fastest rise; 35 Hz without bites
  std::vector<std::pair<double, double>> errors;  // frequency, amplitude error
  std::vector<BiteDynamics> bites;
};

// Errors name the capture: no tap, none that rings; a record cut up by gaps
// uses its longest stretch without one.
Expected<TapsAnswer> MeasureTapsInBook(const std::string& book_path,
                                       const std::string& capture_path);
Expected<TapsAnswer> MeasureTapsInBook(const std::string& book_path,
                                       const SampleBlock& samples,
                                       const std::string& name);

// From here on the sleeve rings inside the band that bites use: below twice
// the bites' band, or so low that the amplitude is off by more than 2 % in it.
inline constexpr double kFlatTolerance = 0.02;

}  // namespace masseter

#endif  // MASSETER_APP_TAPS_BOOK_H_
