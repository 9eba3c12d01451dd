// What sampling and slow electronics take from a short peak, told for a
// half-sine pulse A sin(pi t / T), 0 <= t <= T. Losses are fractions of the
// true peak, 0 (nothing lost) to 1 (not seen). T is in seconds, rates in hertz;
// arguments that are not positive give NaN. Pure functions; safe from several
// threads.
#ifndef MASSETER_CORE_SIGNAL_HALF_SINE_H_
#define MASSETER_CORE_SIGNAL_HALF_SINE_H_

namespace masseter {

// Loss of the highest sample against the true peak when samples fall anyhow
// on the pulse. With theta = pi / (2 rate T), samples at worst straddle the
// crest at a distance theta:
//   worst 1 - cos theta
//   mean  1 - sin theta / theta
//   rms   sqrt(1 - 2 sin(theta)/theta + (1 + sin(2 theta)/(2 theta)) / 2)
// When rate T < 1 a pulse may pass between samples: worst is 1, and mean and
// rms count that case with its probability, 1 - rate T.
double WorstSamplingLoss(double width_s, double rate_hz);
double MeanSamplingLoss(double width_s, double rate_hz);
double RmsSamplingLoss(double width_s, double rate_hz);

// The sampling rate at which the worst loss is `loss` (0 < loss < 1).
double RateForWorstLoss(double width_s, double loss);

// Loss at the peak after a moving average, or one conversion's integration
// time, of `window_s` <= T: 1 - sin x / x, x = pi window / (2 T). NaN for a
// longer window.
double MovingAverageLoss(double width_s, double window_s);

// Loss at the peak after a first-order low-pass of time constant tau; the
// largest of
//   (sin wt - w tau cos wt + w tau exp(-t/tau)) / (1 + (w tau)^2), w = pi/T.
// The filtered peak comes later, at OnePolePeakTime seconds after the start.
double OnePoleLoss(double width_s, double tau_s);
double OnePolePeakTime(double width_s, double tau_s);

// tau of a first-order low-pass with a -3 dB bandwidth: 1 / (2 pi f).
double TimeConstant(double bandwidth_hz);

}  // namespace masseter

#endif  // MASSETER_CORE_SIGNAL_HALF_SINE_H_
