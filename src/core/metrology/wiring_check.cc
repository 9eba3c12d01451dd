#include "core/metrology/wiring_check.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

namespace masseter {
namespace {

constexpr std::size_t kFewestPlaces = 4;
constexpr std::size_t kAllOrders = 6;
constexpr double kSmallSpreadMm = 4.0;
constexpr double kMisses = 0.25;
constexpr double kFits = 0.1;
constexpr double kFarBetter = 0.25;

struct Loads {
  std::vector<Place> stated;
  std::vector<std::vector<double>> share;  // of each channel, a place
};

Loads Gather(std::span<const PositionFacts> map, std::span<const double> gain) {
  Loads out;
  for (const PositionFacts& facts : map) {
    if (facts.per_newton.size() != gain.size()) continue;
    std::vector<double> share;
    double sum = 0.0;
    for (std::size_t i = 0; i < gain.size(); ++i) {
      share.push_back(gain[i] * facts.per_newton[i]);
      sum += share.back();
    }
    if (!(sum > 0.0)) continue;
    for (double& s : share) s /= sum;
    out.stated.push_back(facts.place);
    out.share.push_back(std::move(share));
  }
  return out;
}

std::vector<double> Centred(std::vector<double> values) {
  const double mean = std::accumulate(values.begin(), values.end(), 0.0) /
                      static_cast<double>(values.size());
  for (double& v : values) v -= mean;
  return values;
}

double Dot(const std::vector<double>& a, const std::vector<double>& b) {
  return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
}

// One axis of all places: where they are stated and where the force says.
struct AxisPair {
  std::vector<double> stated;
  std::vector<double> found;
};

double Misfit(const std::vector<AxisPair>& axes) {
  double slope = 0.0;
  for (const AxisPair& axis : axes) {
    slope = std::max(
        slope, Dot(axis.stated, axis.found) / Dot(axis.stated, axis.stated));
  }
  const double factor = std::clamp(slope, 0.5, 1.5);
  double misfit = 0.0;
  for (const AxisPair& axis : axes) {
    for (std::size_t k = 0; k < axis.stated.size(); ++k) {
      const double off = axis.found[k] - factor * axis.stated[k];
      misfit += off * off / Dot(axis.stated, axis.stated);
    }
  }
  return misfit / static_cast<double>(axes.size());
}

double MisfitOf(const Loads& loads, std::span<const Place> cells,
                const std::vector<std::size_t>& order, bool exchange) {
  std::vector<AxisPair> axes;
  for (const bool x : {true, false}) {
    AxisPair axis;
    for (std::size_t k = 0; k < loads.stated.size(); ++k) {
      const Place& p = loads.stated[k];
      axis.stated.push_back(x != exchange ? p.x_mm : p.y_mm);
      double found = 0.0;
      for (std::size_t i = 0; i < order.size(); ++i) {
        const Place& cell = cells[order[i]];
        found += loads.share[k][i] * (x ? cell.x_mm : cell.y_mm);
      }
      axis.found.push_back(found);
    }
    axis.stated = Centred(std::move(axis.stated));
    axis.found = Centred(std::move(axis.found));
    const double n = static_cast<double>(axis.stated.size());
    if (std::sqrt(Dot(axis.stated, axis.stated) / n) < kSmallSpreadMm) continue;
    axes.push_back(std::move(axis));
  }
  return axes.empty() ? 0.0 : Misfit(axes);
}

std::vector<std::vector<std::size_t>> Orders(std::size_t channels) {
  std::vector<std::size_t> order(channels);
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::vector<std::vector<std::size_t>> out;
  if (channels <= kAllOrders) {
    while (std::next_permutation(order.begin(), order.end())) {
      out.push_back(order);
    }
    return out;
  }
  for (std::size_t i = 0; i < channels; ++i) {
    for (std::size_t j = i + 1; j < channels; ++j) {
      std::swap(order[i], order[j]);
      out.push_back(order);
      std::swap(order[i], order[j]);
    }
  }
  return out;
}

std::size_t Moved(const std::vector<std::size_t>& order) {
  std::size_t n = 0;
  for (std::size_t i = 0; i < order.size(); ++i) {
    if (order[i] != i) ++n;
  }
  return n;
}

}  // namespace

std::optional<WiringDoubt> CheckWiring(std::span<const PositionFacts> map,
                                       std::span<const double> gain,
                                       std::span<const Place> cells) {
  if (cells.size() != gain.size() || gain.size() < 2) return std::nullopt;
  const Loads loads = Gather(map, gain);
  if (loads.stated.size() < kFewestPlaces) return std::nullopt;
  std::vector<std::size_t> as_stated(gain.size());
  std::iota(as_stated.begin(), as_stated.end(), std::size_t{0});
  const double stated = MisfitOf(loads, cells, as_stated, false);
  if (stated < kMisses) return std::nullopt;
  WiringDoubt best;
  double least = std::numeric_limits<double>::infinity();
  for (const std::vector<std::size_t>& order : Orders(gain.size())) {
    const double misfit = MisfitOf(loads, cells, order, false);
    // Orders that fit alike: the one that moves the fewest channels.
    const bool simpler =
        misfit < least + 0.02 && Moved(order) < Moved(best.order);
    if (misfit < least - 0.02 || simpler) {
      least = std::min(least, misfit);
      best.order = order;
    }
  }
  const double exchanged = MisfitOf(loads, cells, as_stated, true);
  if (exchanged < least) {
    least = exchanged;
    best = {as_stated, true};
  }
  if (least > kFits || least > kFarBetter * stated) return std::nullopt;
  return best;
}

}  // namespace masseter
