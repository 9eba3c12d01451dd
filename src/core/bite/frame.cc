#include "core/bite/frame.h"

#include <algorithm>
#include <cmath>

namespace masseter {
namespace {

// Mean and noise of `kTogether` channels from `channel` on, side by side: each
// one's sums are a chain of additions, and several chains run in the time of
// one.
template <std::size_t kTogether>
void LookAtChannels(const SampleWindow& window, std::size_t channel,
                    Frame& out) {
  const auto rows = static_cast<std::size_t>(out.rows);
  std::array<const double*, kTogether> x;
  std::array<double, kTogether> sum{};
  std::array<double, kTogether> squares{};
  std::array<double, kTogether> last;
  for (std::size_t k = 0; k < kTogether; ++k) {
    x[k] = window.Signals(channel + k, out.first_row, out.first_row + out.rows)
               .data();
    last[k] = x[k][0];
  }
  for (std::size_t i = 0; i < rows; ++i) {
    for (std::size_t k = 0; k < kTogether; ++k) {
      const double v = x[k][i];
      sum[k] += v;
      squares[k] += (v - last[k]) * (v - last[k]);
      last[k] = v;
    }
  }
  const double n = static_cast<double>(rows);
  for (std::size_t k = 0; k < kTogether; ++k) {
    out.mean[channel + k] = sum[k] / n;
    if (rows > 1) {
      out.noise_variance[channel + k] = squares[k] / (2.0 * (n - 1.0));
    }
  }
}

}  // namespace

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
    out.broken |= window.Before(r) != Break::kNone;
  }
  std::size_t c = 0;
  for (; c + 4 <= window.channels(); c += 4) LookAtChannels<4>(window, c, out);
  for (; c < window.channels(); ++c) LookAtChannels<1>(window, c, out);
  const double n = static_cast<double>(rows);
  out.has_accel = window.has_acceleration();
  for (std::uint64_t r = first_row; out.has_accel && r < first_row + rows;
       ++r) {
    const auto a = window.AccelerationAt(r);
    for (std::size_t k = 0; k < a.size(); ++k) out.accel_g[k] += a[k] / n;
  }
  return out;
}

}  // namespace masseter
