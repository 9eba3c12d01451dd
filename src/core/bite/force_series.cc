#include "core/bite/force_series.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include "core/signal/channel_class_filter.h"

namespace masseter {
namespace {

constexpr double kClass = 60.0;

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

double ZeroAt(const ZeroPair& zeros, std::size_t channel, double t_s) {
  const double a = zeros.before.value[channel];
  if (!zeros.moved || zeros.end_s <= zeros.start_s) return a;
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
  const std::size_t m = model.estimator.channels();
  std::array<double, kMaxChannels> v{};
  for (std::uint64_t row = first; row < end; ++row) {
    const double t = window.Time(row);
    for (std::size_t c = 0; c < m; ++c) {
      v[c] = window.Signal(c, row) - ZeroAt(zeros, c, t);
    }
    out.t_s.push_back(t);
    out.before.push_back(row == first ? Break::kNone : window.Before(row));
    double force = model.estimator.Force(std::span(v.data(), m));
    if (inertia != nullptr) force -= inertia->Force(window.AccelerationAt(row));
    out.raw_n.push_back(force);
  }
  FilterRuns(out);
  return out;
}

}  // namespace masseter
