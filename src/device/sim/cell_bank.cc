#include "device/sim/cell_bank.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "device/sim/portable_math.h"

namespace masseter::sim {
namespace {

constexpr double kCreepFastS = 5.0;
constexpr double kCreepSlowS = 480.0;
constexpr double kWarmUpS = 60.0;
constexpr std::array<double, 3> kLoopWidths = {0.01, 0.04, 0.15};
constexpr std::array<double, 3> kLoopWeights = {0.2, 0.3, 0.5};
constexpr std::array<double, 4> kFlickerS = {0.01, 0.1, 1.0, 10.0};

}  // namespace

CellBank::CellBank(const SimSleeve& sleeve, double step_s, Random random)
    : sleeve_(sleeve), random_(random), memory_(sleeve.cells.size()) {
  for (std::size_t k = 0; k < kFlickerS.size(); ++k) {
    flicker_keep_[k] = Exp(-step_s / kFlickerS[k]);
    flicker_new_[k] =
        std::sqrt((1.0 - flicker_keep_[k] * flicker_keep_[k]) / 4.0);
  }
  for (std::size_t i = 0; i < memory_.size(); ++i) {
    const SimCell& cell = sleeve.cells[i];
    Memory& m = memory_[i];
    m.creep_fast = FirstOrder(kCreepFastS, step_s);
    m.creep_slow = FirstOrder(kCreepSlowS, step_s);
    for (std::size_t k = 0; k < m.loops.size(); ++k) {
      m.loops[k] = Play(kLoopWidths[k] * cell.capacity_n);
    }
    for (double& state : m.flicker) state = 0.5 * random_.Normal();
    m.counts_per_newton = sleeve.CountsPerNewton(static_cast<int>(i));
  }
}

double CellBank::Noise(const SimCell& cell, Memory& memory, int averaged) {
  double flicker = 0.0;
  for (std::size_t k = 0; k < memory.flicker.size(); ++k) {
    memory.flicker[k] = flicker_keep_[k] * memory.flicker[k] +
                        flicker_new_[k] * random_.Normal();
    flicker += memory.flicker[k];
  }
  return cell.flicker_n * flicker +
         cell.noise_n * random_.Normal() / std::sqrt(averaged);
}

void CellBank::Read(std::span<const double> forces_n, double temperature_c,
                    double since_on_s, int averaged, std::span<double> counts) {
  const double warmth = temperature_c - sleeve_.temperature_c;
  const double warm_up = Exp(-since_on_s / kWarmUpS);
  for (std::size_t i = 0; i < memory_.size(); ++i) {
    const SimCell& cell = sleeve_.cells[i];
    Memory& m = memory_[i];
    const double force = forces_n[i];
    double p = force;
    for (std::size_t j = 0; j < memory_.size(); ++j) {
      if (j != i) p += cell.crosstalk[j] * forces_n[j];
    }
    p += cell.creep_fast * m.creep_fast.Step(force) +
         cell.creep_slow * m.creep_slow.Step(force);
    for (std::size_t k = 0; k < m.loops.size(); ++k) {
      const double lag = m.loops[k].Step(force) - force;
      p += cell.hysteresis * kLoopWeights[k] * lag / kLoopWidths[k];
    }
    const double v = p * (1.0 + cell.span_per_c * warmth) +
                     cell.curvature * p * p / cell.capacity_n;
    const double zero = cell.zero_n + m.moved_n + cell.zero_n_per_c * warmth +
                        cell.warm_up_n * warm_up;
    counts[i] = m.counts_per_newton * (v + zero + Noise(cell, m, averaged));
  }
}

void CellBank::MoveZero(int cell, double by_n) {
  memory_[static_cast<std::size_t>(cell)].moved_n += by_n;
}

std::int64_t CellBank::Word(const SimSleeve& sleeve, double counts) {
  const double lo = static_cast<double>(sleeve.WordMin());
  const double hi = static_cast<double>(sleeve.WordMax());
  return std::llround(std::clamp(counts, lo, hi));
}

}  // namespace masseter::sim
