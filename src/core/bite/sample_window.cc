#include "core/bite/sample_window.h"

namespace masseter {
namespace {

template <class T>
void DropFront(std::vector<T>& v, std::size_t n) {
  if (v.size() >= n) {
    v.erase(v.begin(), v.begin() + static_cast<std::ptrdiff_t>(n));
  }
}

}  // namespace

bool SampleWindow::has_acceleration() const {
  bool any = false;
  for (const auto& axis : block_.accel_g) {
    any = any || (!axis.empty() && axis.size() == block_.size());
  }
  return any;
}

std::array<double, 3> SampleWindow::AccelerationAt(std::uint64_t row) const {
  std::array<double, 3> out{};
  for (std::size_t k = 0; k < out.size(); ++k) {
    const auto& axis = block_.accel_g[k];
    if (axis.size() == block_.size()) out[k] = axis[Index(row)];
  }
  return out;
}

void SampleWindow::Release(std::uint64_t row) {
  if (row <= block_.first_row) return;
  const std::size_t n = Index(row);
  if (n < 4096 || 2 * n < block_.size()) return;
  DropFront(block_.t_s, n);
  DropFront(block_.before, n);
  for (auto& channel : block_.channel) DropFront(channel, n);
  DropFront(block_.supply_mv, n);
  for (auto& axis : block_.accel_g) DropFront(axis, n);
  block_.first_row += n;
}

}  // namespace masseter
