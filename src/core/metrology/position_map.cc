#include "core/metrology/position_map.h"

#include <algorithm>
#include <cmath>

namespace masseter {
namespace {

// Slopes through zero of every channel on the force, a place.
void FillSlopes(const BenchSet& bench, std::vector<PositionFacts>& map) {
  std::vector<double> square(map.size(), 0.0);
  for (const BenchLoad& load : bench.loads) {
    const auto p = static_cast<std::size_t>(load.position);
    PositionFacts& facts = map[p];
    facts.per_newton.resize(load.v.size(), 0.0);
    for (std::size_t c = 0; c < load.v.size(); ++c) {
      facts.per_newton[c] += load.v[c] * load.force_n;
    }
    square[p] += load.force_n * load.force_n;
    facts.rows += load.force_n > 0.0 ? 1 : 0;
  }
  for (std::size_t p = 0; p < map.size(); ++p) {
    if (square[p] <= 0.0) map[p].per_newton.clear();
    for (double& slope : map[p].per_newton) slope /= square[p];
  }
}

double SignedSum(const std::vector<double>& v,
                 const std::vector<double>& gain) {
  double sum = 0.0;
  for (std::size_t c = 0; c < v.size(); ++c) {
    sum += std::copysign(1.0, gain[c]) * v[c];
  }
  return sum;
}

}  // namespace

std::vector<PositionFacts> MapPositions(
    const BenchSet& bench, const std::optional<LeftOutError>& left_out) {
  std::vector<PositionFacts> map;
  for (std::size_t p = 0; p < bench.positions.size(); ++p) {
    PositionFacts facts;
    facts.place = bench.positions[p];
    if (left_out && p < left_out->mean.size()) {
      facts.left_out_error = left_out->mean[p];
      facts.left_out_rms = left_out->position[p];
    }
    map.push_back(std::move(facts));
  }
  FillSlopes(bench, map);
  return map;
}

std::optional<SingleFactor> TrySingleFactor(const BenchSet& bench,
                                            const std::vector<double>& gain,
                                            std::vector<PositionFacts>& map) {
  const PositionFacts* middle = nullptr;
  std::size_t used = 0;
  for (const PositionFacts& facts : map) {
    if (facts.per_newton.empty()) continue;
    ++used;
    const auto distance = [](const PositionFacts& f) {
      return std::hypot(f.place.x_mm, f.place.y_mm);
    };
    if (middle == nullptr || distance(facts) < distance(*middle)) {
      middle = &facts;
    }
  }
  if (used < 2 || bench.loads.empty()) return std::nullopt;
  const double sum = SignedSum(middle->per_newton, gain);
  if (!(std::abs(sum) > 0.0)) return std::nullopt;
  SingleFactor out;
  out.n_per_unit = 1.0 / sum;
  out.place = middle->place;
  double square = 0.0;
  for (PositionFacts& facts : map) {
    if (facts.per_newton.empty()) continue;
    const double error = SignedSum(facts.per_newton, gain) / sum - 1.0;
    facts.single_factor_error = error;
    if (std::abs(error) > std::abs(out.worst)) out.worst = error;
    square += error * error;
  }
  out.rms = std::sqrt(square / static_cast<double>(used));
  return out;
}

}  // namespace masseter
