// What frequencies a bite is made of, and the sampling rate its crest needs.
#ifndef MASSETER_CORE_BITE_FREQUENCY_CONTENT_H_
#define MASSETER_CORE_BITE_FREQUENCY_CONTENT_H_

#include <optional>
#include <vector>

#include "core/bite/measure.h"
#include "core/signal/welch.h"

namespace masseter {

// Root mean square force within [from_hz, to_hz), newtons.
struct Band {
  double from_hz = 0.0;
  double to_hz = 0.0;
  double rms_n = 0.0;
};

struct FrequencyContent {
  Spectrum spectrum;        // of the unfiltered force, N^2/Hz
  double rate_hz = 0.0;     // of the samples
  double seconds = 0.0;     // of the stretch behind it
  std::vector<Band> bands;  // octaves from 1 Hz up to half the rate
  // Below it lie 99 % of the power, the mean left out.
  double most_below_hz = 0.0;
};

// Welch's spectrum of the bite's longest stretch without missing samples,
// segments of about a second, two of them at least; nullopt for stretches of
// fewer than 16 samples.
std::optional<FrequencyContent> FrequencyContentOf(const MeasuredBite& bite);

// A half-sine with the peak's curvature, and what sampling can take off it:
// 1 - cos(pi / (2 rate T)) at worst (core/signal/half_sine.h).
struct SamplingNeed {
  double rate_hz = 0.0;
  double crest_s = 0.0;       // T
  double worst_loss = 0.0;    // at this rate, relative
  double needed_rate_hz = 0;  // for kAllowedLoss at worst
};
inline constexpr double kAllowedLoss = 0.01;

// nullopt where the crest shows no curvature.
std::optional<SamplingNeed> SamplingNeedOf(const MeasuredBite& bite);

// T of the sharper of two crests, the peak's and the strike's (the highest
// sample of the first 0.20 s, where the force falls again within them);
// nullopt where none shows.
std::optional<double> SharpestCrest(const MeasuredBite& bite);

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_FREQUENCY_CONTENT_H_
