// A calibrated transducer in series with the sleeve: both recorded together
// while the load is moved by hand. From the two records to readings.
//
//  1. Both go onto one grid (200 a second, or the slower record's rate).
//  2. The delay of one against the other is the lag of the highest normalised
//     cross-correlation of their slopes, refined below a sample by least
//     squares. Records longer than 24 s are cut into pieces of 12 s; a straight
//     line through the pieces' delays (least squares) follows two clocks that
//     run apart.
//  3. The reference is shifted by it. Turning points (a fifth of the largest
//     force as hysteresis) cut the record into rising and falling passes; each
//     return to the zero (below 2 % of the largest force) ends a series.
//  4. In each pass, samples are averaged over bins of equal force, from 5 % of
//     the largest to the largest. A bin with fewer than ten samples is left
//     out. Means of bins are readings; a sample where the force changes faster
//     than a fifth of the largest in 0.1 s is left out.
//
// Pure; safe from several threads.
#ifndef MASSETER_CORE_BENCH_REFERENCE_PAIR_H_
#define MASSETER_CORE_BENCH_REFERENCE_PAIR_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/error.h"

namespace masseter {

// Samples at rising times; value[k] a channel k.
struct TimedSignals {
  std::vector<double> t_s;
  std::vector<std::vector<double>> value;
};

// Lag of `late` behind `early`, seconds, both at equal steps: positive when
// what `early` shows at t, `late` shows at t + lag. nullopt when nothing moves
// or the best agreement stays below a correlation of 0.5.
std::optional<double> LagOf(std::span<const double> early,
                            std::span<const double> late, double rate_hz,
                            double most_s);

// Straight-line interpolation of a record at a time inside it.
std::vector<double> Resample(const std::vector<double>& t_s,
                             const std::vector<double>& value, double first_s,
                             double rate_hz, std::size_t count);

struct PairOptions {
  double most_lag_s = 2.0;
  int bins = 8;
};

struct PairRow {
  int series = 1;
  bool rising = true;
  double force_n = 0.0;  // 0 for a zero reading, the reference's zero taken off
  std::vector<double> signal;
  double t_s = 0.0;
  std::size_t samples = 0;
};

struct PairedReadings {
  std::vector<PairRow> rows;
  double lag_s = 0.0;      // of the reference behind the sleeve, in mid-record
  double lag_drift = 0.0;  // change of it, seconds a second
  double reference_zero_n = 0.0;
  double largest_n = 0.0;
  int passes = 0;
  std::vector<std::string> warnings;
};

// `reference` has one signal, newtons. Errors: the records do not overlap for
// five seconds; no load; no zero before the first load; the two do not agree
// at any delay.
Expected<PairedReadings> PairReadings(const TimedSignals& sleeve,
                                      const TimedSignals& reference,
                                      const PairOptions& options);

}  // namespace masseter

#endif  // MASSETER_CORE_BENCH_REFERENCE_PAIR_H_
