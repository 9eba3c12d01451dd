#include "core/signal/welch.h"

#include <bit>
#include <cmath>
#include <complex>
#include <numbers>
#include <utility>

namespace masseter {
namespace {

using Complex = std::complex<double>;

// In place, radix two (Cooley and Tukey 1965); the size is a power of two.
void Transform(std::vector<Complex>& a) {
  const std::size_t n = a.size();
  for (std::size_t i = 1, j = 0; i < n; ++i) {
    std::size_t bit = n >> 1U;
    for (; (j & bit) != 0; bit >>= 1U) j ^= bit;
    j ^= bit;
    if (i < j) std::swap(a[i], a[j]);
  }
  for (std::size_t length = 2; length <= n; length *= 2) {
    const std::size_t half = length / 2;
    for (std::size_t k = 0; k < half; ++k) {
      const Complex turn =
          std::polar(1.0, -2.0 * std::numbers::pi * static_cast<double>(k) /
                              static_cast<double>(length));
      for (std::size_t i = k; i < n; i += length) {
        const Complex odd = a[i + half] * turn;
        a[i + half] = a[i] - odd;
        a[i] += odd;
      }
    }
  }
}

}  // namespace

double Spectrum::RmsWithin(double from_hz, double to_hz) const {
  double power = 0.0;
  for (std::size_t k = 1; k < density.size(); ++k) {
    const double hz = HzOf(k);
    if (hz >= from_hz && hz < to_hz) power += density[k] * step_hz;
  }
  return std::sqrt(power);
}

std::optional<Spectrum> WelchSpectrum(std::span<const double> x, double rate_hz,
                                      std::size_t segment) {
  if (segment < 4 || !std::has_single_bit(segment) || x.size() < segment ||
      !(rate_hz > 0.0)) {
    return std::nullopt;
  }
  const auto n = static_cast<double>(segment);
  std::vector<double> window(segment);
  double squares = 0.0;
  for (std::size_t i = 0; i < segment; ++i) {
    const double phase = 2.0 * std::numbers::pi * static_cast<double>(i) / n;
    window[i] = 0.5 - 0.5 * std::cos(phase);
    squares += window[i] * window[i];
  }
  Spectrum out;
  out.step_hz = rate_hz / n;
  out.density.assign(segment / 2 + 1, 0.0);
  std::vector<Complex> line(segment);
  for (std::size_t at = 0; at + segment <= x.size(); at += segment / 2) {
    double mean = 0.0;
    for (std::size_t i = 0; i < segment; ++i) mean += x[at + i];
    mean /= n;
    for (std::size_t i = 0; i < segment; ++i) {
      line[i] = window[i] * (x[at + i] - mean);
    }
    Transform(line);
    for (std::size_t k = 0; k < out.density.size(); ++k) {
      out.density[k] += std::norm(line[k]);
    }
    ++out.segments;
  }
  const double scale =
      1.0 / (rate_hz * squares * static_cast<double>(out.segments));
  for (std::size_t k = 0; k < out.density.size(); ++k) {
    const bool alone = k == 0 || k == segment / 2;  // no negative twin
    out.density[k] *= alone ? scale : 2.0 * scale;
  }
  return out;
}

}  // namespace masseter
