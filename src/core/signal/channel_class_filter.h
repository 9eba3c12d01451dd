// The low-pass of impact testing: channel frequency classes (CFC) of ISO 6487
// and SAE J211-1. A second-order Butterworth filter runs forward and then
// backward over the record, so that it has no phase: a symmetric pulse's peak
// does not move. CFC 60 passes 60 Hz within half a decibel and is 3 dB down
// near 100 Hz.
//
//   y[n] = a0 x[n] + a1 x[n-1] + a2 x[n-2] + b1 y[n-1] + b2 y[n-2]
//   wa = tan(wd T / 2), D = 1 + sqrt(2) wa + wa^2
//   a0 = wa^2 / D, a1 = 2 a0, a2 = a0
//   b1 = -2 (wa^2 - 1) / D, b2 = (-1 + sqrt(2) wa - wa^2) / D
//   wd = 2 pi CFC 1.25/0.6 (ISO 6487) or 2 pi CFC 2.0775 (SAE J211-1)
//
// Letters are the standards': a feeds forward, b feeds back. A record must
// hold finite values at equal times: split it at gaps first. Plain values and
// functions; safe from several threads on different records.
#ifndef MASSETER_CORE_SIGNAL_CHANNEL_CLASS_FILTER_H_
#define MASSETER_CORE_SIGNAL_CHANNEL_CLASS_FILTER_H_

#include <cstddef>
#include <cstdint>
#include <span>

#include "core/base/error.h"

namespace masseter {

// Which standard's factor turns a class into a design frequency.
enum class ClassStandard : std::uint8_t { kIso6487, kSaeJ211 };

// A second-order Butterworth low-pass by the bilinear transform.
struct LowPass {
  double a0 = 1.0;
  double a1 = 0.0;
  double a2 = 0.0;
  double b1 = 0.0;
  double b2 = 0.0;
  double rate_hz = 0.0;
  double wa = 0.0;  // the prewarped design frequency, tan(wd T / 2)
};

// The filter of a channel class. Error unless 0 < cfc, and the design
// frequency (about 2.08 CFC) is below half the sampling rate.
Expected<LowPass> DesignChannelClass(
    double cfc, double rate_hz,
    ClassStandard standard = ClassStandard::kIso6487);

// The filter whose two passes together are 3 dB down (a gain of 1/sqrt 2) at
// `cutoff_hz`. Error unless that and the design frequency are below half the
// sampling rate.
Expected<LowPass> DesignZeroPhaseLowPass(double cutoff_hz, double rate_hz);

// The highest class that a sampling rate supports: SAE J211-1 asks for at
// least ten samples a cycle of the class's frequency (from memory). Not
// rounded down to a standard class (60, 180, 600, 1000).
double HighestChannelClass(double rate_hz);

// Both passes in place, with ISO 6487's ends: the record is lengthened at each
// end by m = min(max(rate/100, 100), n - 1) samples, its reflection in the end
// point (2 x[0] - x[k]); each pass starts from the mean of its first ten
// samples. Allocates one buffer of n + 2m doubles. Fewer than two samples stay
// as they are.
void FilterChannelClass(const LowPass& filter, std::span<double> record);

// Both passes in place for any cut-off: the same reflection over `pad` samples
// (at most n - 1 are used), each pass starting in the steady state of its
// first sample, which suits slow filters whose memory outlasts ISO's hundred
// samples. Without `pad`, enough for the memory to fade to 1e-6.
void FilterZeroPhase(const LowPass& filter, std::span<double> record);
void FilterZeroPhase(const LowPass& filter, std::span<double> record,
                     std::size_t pad);

// One pass, forward in time and causal, in place, as if the record had stood
// at `before` for ever. It delays: for live views, not for figures.
void FilterForward(const LowPass& filter, std::span<double> record,
                   double before);

// Amplitude gain of both passes together at a frequency: |H(f)|^2.
double TwoPassGain(const LowPass& filter, double frequency_hz);

// Standard deviation of white noise of unit standard deviation after both
// passes, away from the ends. Closed form of
//   sqrt((1/pi) integral_0^pi |H|^4 dw),  q = wa^2:
//   sqrt(q^4/(1+q^2)^2
//        + wa/(4 sqrt 2) ((3-q)/(1+q^2) + 4 q^2 (1-q)/(1+q^2)^2)).
double NoiseGain(const LowPass& filter);

}  // namespace masseter

#endif  // MASSETER_CORE_SIGNAL_CHANNEL_CLASS_FILTER_H_
