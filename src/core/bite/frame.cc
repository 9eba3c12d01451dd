#include "core/bite/frame.h"

#include <algorithm>
#include <cmath>

namespace masseter {

std::uint64_t FrameRows(double rate_hz) {
  return static_cast<std::uint64_t>(
      std::max(1.0, std::round(rate_hz * kFrameS)));
}

Frame MakeFrame(const SampleWindow& window, std::uint64_t first_row,
                std::uint64_t rows) {
  Frame out;
  out.first_row = first_row;
  out.rows = rows;
  out.start_s = window.Time(first_row);
  out.end_s = window.Time(first_row + rows - 1);
  for (std::uint64_t r = first_row; r < first_row + rows; ++r) {
    out.broken = out.broken || window.Before(r) != Break::kNone;
  }
  const double n = static_cast<double>(rows);
  for (std::size_t c = 0; c < window.channels(); ++c) {
    double sum = 0.0;
    double squares = 0.0;
    double last = window.Signal(c, first_row);
    for (std::uint64_t r = first_row; r < first_row + rows; ++r) {
      const double v = window.Signal(c, r);
      sum += v;
      squares += (v - last) * (v - last);
      last = v;
    }
    out.mean[c] = sum / n;
    if (rows > 1) out.noise_variance[c] = squares / (2.0 * (n - 1.0));
  }
  out.has_accel = window.has_acceleration();
  for (std::uint64_t r = first_row; out.has_accel && r < first_row + rows;
       ++r) {
    const auto a = window.AccelerationAt(r);
    for (std::size_t k = 0; k < a.size(); ++k) out.accel_g[k] += a[k] / n;
  }
  return out;
}

}  // namespace masseter
