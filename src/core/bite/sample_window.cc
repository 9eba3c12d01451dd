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

void SampleWindow::Release(std::uint64_t row) {
  if (row <= block_.first_row) return;
  const std::size_t n = Index(row);
  if (n < 4096 || 2 * n < block_.size()) return;
  DropFront(block_.t_s, n);
  DropFront(block_.before, n);
  for (auto& channel : block_.channel) DropFront(channel, n);
  DropFront(block_.supply_mv, n);
  block_.first_row += n;
}

}  // namespace masseter
