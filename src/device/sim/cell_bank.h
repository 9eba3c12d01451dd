// The cells, their amplifiers and converters: from the force on each cell to
// the reading in counts, with all that a real chain adds and remembers.
//
// For cell i with force R_i (N), all cells seen together:
//   p = R_i + sum_j crosstalk_ij R_j + creep + hysteresis
//   v = p (1 + span (T - T0)) + curvature p^2 / capacity
//   reading = counts_per_newton (v + zero + zero drift + warm-up + noise)
// Creep is two first-order lags (5 s and 480 s); hysteresis three play
// operators of width 1, 4 and 15 % of capacity; 1/f noise four first-order
// noises with time constants a decade apart (their sum falls by about 10 dB a
// decade). One object belongs to one thread.
#ifndef MASSETER_DEVICE_SIM_CELL_BANK_H_
#define MASSETER_DEVICE_SIM_CELL_BANK_H_

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "device/sim/dynamics.h"
#include "device/sim/random.h"
#include "device/sim/sleeve.h"

namespace masseter::sim {

class CellBank {
 public:
  // Every later Read is `step_s` after the one before it. `sleeve` must
  // outlive the bank.
  CellBank(const SimSleeve& sleeve, double step_s, Random random);

  // Readings in counts, before rounding, of the forces that stand on the
  // cells, `since_on_s` after switching on. `averaged` samples are taken
  // together (1 while recording, more on the bench).
  void Read(std::span<const double> forces_n, double temperature_c,
            double since_on_s, int averaged, std::span<double> counts);

  // A jump of one cell's zero that stays.
  void MoveZero(int cell, double by_n);

  // The word a converter gives for a reading: rounded, and held at the ends
  // of its scale.
  static std::int64_t Word(const SimSleeve& sleeve, double counts);

 private:
  struct Memory {
    FirstOrder creep_fast;
    FirstOrder creep_slow;
    std::array<Play, 3> loops;
    std::array<double, 4> flicker{};
    double counts_per_newton = 0.0;
    double moved_n = 0.0;
  };
  double Noise(const SimCell& cell, Memory& memory, int averaged);

  const SimSleeve& sleeve_;
  Random random_;
  std::vector<Memory> memory_;
  std::array<double, 4> flicker_keep_{};  // share kept from step to step
  std::array<double, 4> flicker_new_{};   // share renewed
};

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_CELL_BANK_H_
