#include "core/metrology/load_levels.h"

#include <algorithm>
#include <cstddef>
#include <numeric>

namespace masseter {
namespace {

constexpr double kOfTheLoad = 0.01;
constexpr double kOfTheLargest = 0.002;

}  // namespace

LoadLevels FindLoadLevels(const std::vector<double>& force_n) {
  LoadLevels out;
  out.level.resize(force_n.size());
  std::vector<std::size_t> order(force_n.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return force_n[a] < force_n[b];
  });
  std::vector<double> count;
  double first = 0.0;
  for (const std::size_t i : order) {
    const double f = force_n[i];
    const double room =
        kOfTheLoad * first + kOfTheLargest * force_n[order.back()];
    if (out.force_n.empty() || f > first + room) {
      out.force_n.push_back(0.0);
      count.push_back(0.0);
      first = f;
    }
    out.level[i] = static_cast<int>(out.force_n.size()) - 1;
    out.force_n.back() += f;
    count.back() += 1.0;
  }
  for (std::size_t k = 0; k < count.size(); ++k) out.force_n[k] /= count[k];
  return out;
}

}  // namespace masseter
