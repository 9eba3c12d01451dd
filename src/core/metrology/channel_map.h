// What one channel reads when the others are known, learnt from the bench: a
// plate on four cells moves along three directions only, so that every cell
// can be told from the other three. It shows when the cells disagree with any
// single grip, and stands in for a channel that fails (docs/trust.md).
#ifndef MASSETER_CORE_METROLOGY_CHANNEL_MAP_H_
#define MASSETER_CORE_METROLOGY_CHANNEL_MAP_H_

#include <cstddef>
#include <span>
#include <vector>

#include "core/metrology/estimator.h"

namespace masseter {

struct BenchSet;  // core/metrology/estimator_fit.h

// p_c = sum_k b_k p_k + sum_(i<j) b_ij p_i p_j / T over the other channels,
// p in newtons by channel gains, T their sum: linear in the coefficients and
// in the force, like equation (1) of docs/method.md.
struct ChannelPrediction {
  std::vector<double> coeffs;  // of p_k, then of the pairs if there are some
  // Root mean square of the error on loads left out with their whole place,
  // relative to the sum of all channels.
  double relative_sd = 0.0;
};

struct ChannelMap {
  // One a channel; empty with fewer than four channels or five places, when
  // the others do not tell a channel.
  std::vector<ChannelPrediction> channel;
  // On the bench, a channel: lowest p_c / (sum of the others).
  std::vector<double> lowest_ratio;
  // On the bench: lowest force / (sum of all channels).
  double lowest_force_ratio = 1.0;

  bool empty() const { return lowest_ratio.empty(); }
  bool Predicts() const { return !channel.empty(); }
  // Prediction for channel `c` from the others in `p` (p[c] is not read),
  // newtons. Only when Predicts().
  double Predict(std::size_t c, std::span<const double> p) const;
};

// Fits by QR; pairs are used for a channel when they lower the left-out error
// by a tenth at least.
ChannelMap FitChannelMap(const Estimator& estimator, const BenchSet& bench);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_CHANNEL_MAP_H_
