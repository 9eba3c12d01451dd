#include "core/bite/force_series.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include "core/signal/channel_class_filter.h"

namespace masseter {
namespace {

constexpr double kClass = 60.0;

// The estimator of the zeroed signals, several samples at a time. What lies
// behind the last sample repeats it.
void FillForces(const SampleWindow& window, const Estimator& estimator,
                const ZeroPair& zeros, ForceSeries& out) {
  constexpr std::size_t kTogether = Estimator::kTogether;
  const std::size_t m = estimator.channels();
  std::array<Estimator::Together, kMaxChannels> v{};
  Estimator::Together force{};
  for (std::size_t i = 0; i < out.size(); i += kTogether) {
    const std::size_t n = std::min(kTogether, out.size() - i);
    const std::uint64_t row = out.first_row + i;
    for (std::size_t c = 0; c < m; ++c) {
      const auto x = window.Signals(c, row, row + n);
      for (std::size_t k = 0; k < kTogether; ++k) {
        const std::size_t at = std::min(k, n - 1);
        v[c][k] = x[at] - ZeroAt(zeros, c, out.t_s[i + at]);
      }
    }
    estimator.Forces(std::span(v.data(), m), force);
    for (std::size_t k = 0; k < n; ++k) out.raw_n[i + k] = force[k];
  }
}

void FilterRuns(ForceSeries& series) {
  series.filtered_n = series.raw_n;
  const double rate = 1.0 / series.period_s;
  if (HighestChannelClass(rate) < kClass) return;
  const auto filter = DesignChannelClass(kClass, rate);
  if (!filter) return;
  series.filter_noise_gain = NoiseGain(*filter);
  series.cutoff_hz = kClass / 0.6;
  std::size_t start = 0;
  for (std::size_t i = 1; i <= series.size(); ++i) {
    if (i < series.size() && series.before[i] == Break::kNone) continue;
    FilterChannelClass(*filter,
                       std::span(series.filtered_n).subspan(start, i - start));
    start = i;
  }
}

}  // namespace

double MovingZeroAt(const ZeroPair& zeros, std::size_t channel, double t_s) {
  const double a = zeros.before.value[channel];
  const double part = std::clamp(
      (t_s - zeros.start_s) / (zeros.end_s - zeros.start_s), 0.0, 1.0);
  return a + part * (zeros.after->value[channel] - a);
}

ForceSeries MakeForceSeries(const SampleWindow& window, std::uint64_t first,
                            std::uint64_t end, const ForceModel& model,
                            const ZeroPair& zeros, double period_s,
                            const Inertia* inertia) {
  ForceSeries out;
  out.first_row = first;
  out.period_s = period_s;
  const auto n = static_cast<std::size_t>(end - first);
  out.t_s.resize(n);
  out.before.resize(n);
  out.raw_n.resize(n);
  for (std::size_t i = 0; i < n; ++i) {
    out.t_s[i] = window.Time(first + i);
    out.before[i] = i == 0 ? Break::kNone : window.Before(first + i);
  }
  FillForces(window, model.estimator, zeros, out);
  if (inertia != nullptr) {
    for (std::size_t i = 0; i < n; ++i) {
      out.raw_n[i] -= inertia->Force(window.AccelerationAt(first + i));
    }
  }
  FilterRuns(out);
  return out;
}

}  // namespace masseter
