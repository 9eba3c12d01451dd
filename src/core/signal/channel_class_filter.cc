#include "core/signal/channel_class_filter.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace masseter {
namespace {

using std::numbers::pi;
using std::numbers::sqrt2;

LowPass FromPrewarped(double wa, double rate_hz) {
  const double wa2 = wa * wa;
  const double d = 1.0 + sqrt2 * wa + wa2;
  LowPass f;
  f.a0 = wa2 / d;
  f.a1 = 2.0 * f.a0;
  f.a2 = f.a0;
  f.b1 = -2.0 * (wa2 - 1.0) / d;
  f.b2 = (-1.0 + sqrt2 * wa - wa2) / d;
  f.rate_hz = rate_hz;
  f.wa = wa;
  return f;
}

// The recursion over values reached by `at(i)`, i = 0 .. n-1, in place, with
// the two inputs and outputs before the first given.
template <class At>
void Recurse(const LowPass& f, std::size_t from, std::size_t n, At at,
             double x1, double x2, double y1, double y2) {
  for (std::size_t i = from; i < n; ++i) {
    double& value = at(i);
    const double x0 = value;
    const double y0 = f.a0 * x0 + f.a1 * x1 + f.a2 * x2 + f.b1 * y1 + f.b2 * y2;
    x2 = x1;
    x1 = x0;
    y2 = y1;
    y1 = y0;
    value = y0;
  }
}

// One ISO 6487 pass: the first two outputs are the mean of the first ten
// samples.
template <class At>
void IsoPass(const LowPass& f, std::size_t n, At at) {
  if (n < 2) return;
  const std::size_t ten = std::min<std::size_t>(10, n);
  double mean = 0.0;
  for (std::size_t i = 0; i < ten; ++i) mean += at(i);
  mean /= static_cast<double>(ten);
  const double x0 = at(0);
  const double x1 = at(1);
  at(0) = mean;
  at(1) = mean;
  Recurse(f, 2, n, at, x1, x0, mean, mean);
}

// One pass from the steady state of the first sample.
template <class At>
void SteadyPass(const LowPass& f, std::size_t n, At at) {
  if (n == 0) return;
  const double v = at(0);
  Recurse(f, 0, n, at, v, v, v, v);
}

// The record between two reflections of `pad` samples in its end points.
std::vector<double> Reflected(std::span<const double> x, std::size_t pad) {
  const std::size_t n = x.size();
  std::vector<double> longer(n + 2 * pad);
  std::copy(x.begin(), x.end(),
            longer.begin() + static_cast<std::ptrdiff_t>(pad));
  for (std::size_t k = 1; k <= pad; ++k) {
    longer[pad - k] = 2.0 * x[0] - x[k];
    longer[pad + n - 1 + k] = 2.0 * x[n - 1] - x[n - 1 - k];
  }
  return longer;
}

template <class Pass>
void TwoPasses(std::span<double> record, std::size_t pad, Pass pass) {
  std::vector<double> longer = Reflected(record, pad);
  const std::size_t n = longer.size();
  pass(n, [&](std::size_t i) -> double& { return longer[i]; });
  pass(n, [&](std::size_t i) -> double& { return longer[n - 1 - i]; });
  std::copy_n(longer.begin() + static_cast<std::ptrdiff_t>(pad), record.size(),
              record.begin());
}

// Samples after which a pole's memory has faded to 1e-6. The poles are the
// roots of z^2 - b1 z - b2.
std::size_t MemorySamples(const LowPass& f) {
  const double real = 0.5 * f.b1;
  const double discriminant = real * real + f.b2;
  const double radius = discriminant < 0.0
                            ? std::sqrt(-f.b2)
                            : std::fabs(real) + std::sqrt(discriminant);
  if (!(radius > 1e-6)) return 1;
  return static_cast<std::size_t>(std::ceil(std::log(1e-6) / std::log(radius)));
}

}  // namespace

Expected<LowPass> DesignChannelClass(double cfc, double rate_hz,
                                     ClassStandard standard) {
  const double factor =
      standard == ClassStandard::kIso6487 ? 1.25 / 0.6 : 2.0775;
  if (!(cfc > 0.0) || !(rate_hz > 0.0) || std::isinf(rate_hz) ||
      !(factor * cfc < 0.5 * rate_hz)) {
    return BadInput("", "the channel class is too high for the sampling rate");
  }
  const double wd = 2.0 * pi * cfc * factor;
  return FromPrewarped(std::tan(wd / rate_hz / 2.0), rate_hz);
}

Expected<LowPass> DesignZeroPhaseLowPass(double cutoff_hz, double rate_hz) {
  if (!(cutoff_hz > 0.0) || !(rate_hz > 0.0) || std::isinf(rate_hz) ||
      !(cutoff_hz < 0.5 * rate_hz)) {
    return BadInput("",
                    "the cut-off frequency must lie between zero and half the "
                    "sampling rate");
  }
  // 1 / (1 + (w/wa)^4) = 1/sqrt 2 at the prewarped cut-off.
  const double widen = std::pow(sqrt2 - 1.0, -0.25);
  return FromPrewarped(std::tan(pi * cutoff_hz / rate_hz) * widen, rate_hz);
}

double HighestChannelClass(double rate_hz) { return rate_hz / 10.0; }

void FilterChannelClass(const LowPass& filter, std::span<double> record) {
  if (record.size() < 2) return;
  const auto wanted = static_cast<std::size_t>(
      std::max(std::floor(0.01 * filter.rate_hz + 0.5), 100.0));
  TwoPasses(record, std::min(wanted, record.size() - 1),
            [&](std::size_t n, auto at) { IsoPass(filter, n, at); });
}

void FilterZeroPhase(const LowPass& filter, std::span<double> record) {
  FilterZeroPhase(filter, record, MemorySamples(filter));
}

void FilterZeroPhase(const LowPass& filter, std::span<double> record,
                     std::size_t pad) {
  if (record.size() < 2) return;
  TwoPasses(record, std::min(pad, record.size() - 1),
            [&](std::size_t n, auto at) { SteadyPass(filter, n, at); });
}

void FilterForward(const LowPass& filter, std::span<double> record,
                   double before) {
  Recurse(
      filter, 0, record.size(),
      [&](std::size_t i) -> double& { return record[i]; }, before, before,
      before, before);
}

double TwoPassGain(const LowPass& filter, double frequency_hz) {
  const double v = std::tan(pi * frequency_hz / filter.rate_hz) / filter.wa;
  return 1.0 / (1.0 + v * v * v * v);
}

double NoiseGain(const LowPass& filter) {
  const double q = filter.wa * filter.wa;
  const double p = 1.0 + q * q;
  const double far = q * q / p;
  return std::sqrt(far * far +
                   filter.wa / (4.0 * sqrt2) *
                       ((3.0 - q) / p + 4.0 * q * q * (1.0 - q) / (p * p)));
}

}  // namespace masseter
