// Power spectral density by Welch's method: segments that overlap by half,
// each without its mean, under a periodic Hann window, their periodograms
// averaged (Welch, IEEE Trans. Audio Electroacoust. AU-15 (1967) 70). Pure;
// safe from several threads.
#ifndef MASSETER_CORE_SIGNAL_WELCH_H_
#define MASSETER_CORE_SIGNAL_WELCH_H_

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace masseter {

struct Spectrum {
  double step_hz = 0.0;         // from line to line
  std::vector<double> density;  // one-sided, unit of x squared a hertz
  std::size_t segments = 0;     // averaged

  double HzOf(std::size_t line) const {
    return static_cast<double>(line) * step_hz;
  }
  // Root mean square of what lies in [from_hz, to_hz), the mean left out.
  double RmsWithin(double from_hz, double to_hz) const;
};

// `segment` is a power of two, 4 or more, and x at least as long; else, or for
// a rate that is not positive, nullopt. Samples that fill no whole segment at
// the end are left out.
std::optional<Spectrum> WelchSpectrum(std::span<const double> x, double rate_hz,
                                      std::size_t segment);

}  // namespace masseter

#endif  // MASSETER_CORE_SIGNAL_WELCH_H_
