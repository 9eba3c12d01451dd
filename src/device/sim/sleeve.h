// A simulated sleeve: everything about it that a real one would keep to
// itself. What each property stands for, and whether literature, a formula or
// an assumption is behind its size, is in docs/simulated-sleeve.md.
#ifndef MASSETER_DEVICE_SIM_SLEEVE_H_
#define MASSETER_DEVICE_SIM_SLEEVE_H_

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "device/sim/plate.h"

namespace masseter::sim {

inline constexpr int kMaxCells = 6;

struct SimCell {
  std::string name;  // "c1" ...
  double x_mm = 0.0;
  double y_mm = 0.0;
  double capacity_n = 1500.0;
  double stiffness_n_per_mm = 600.0;  // cell with its mounting
  double sensitivity_mv_per_v = 2.0;  // at capacity, with the cell's own error
  double curvature = 0.0;             // share of the reading at capacity
  double creep_fast = 0.0;            // share of the load, within seconds
  double creep_slow = 0.0;            // share of the load, within minutes
  double hysteresis = 0.0;            // loop's half-height, share of capacity
  double zero_n = 0.0;                // zero balance
  double zero_n_per_c = 0.0;
  double span_per_c = 0.0;
  double warm_up_n = 0.0;  // zero still to move after switching on
  double noise_n = 0.0;    // white, standard deviation of one sample
  double flicker_n = 0.0;  // 1/f part, standard deviation
  // Share of every other cell's load that leaks into this cell's reading.
  std::array<double, kMaxCells> crosstalk{};
};

// The shell around the plate takes a share of a load that is not over the
// middle: share = edge_share q (1 + lean_x u + lean_y v)(1 + growth F / F_safe)
// with u = x/half_length, v = y/half_width, q = r^2 + r^4 / 4, r^2 = u^2 + v^2.
struct SimShell {
  double half_length_mm = 90.0;
  double half_width_mm = 45.0;
  double edge_share = 0.0;
  double lean_x = 0.0;
  double lean_y = 0.0;
  double growth = 0.0;
};

// The cover passes the whole force on, `slow_share` of it late.
struct SimCover {
  double contact_tau_s = 0.0008;
  double slow_share = 0.0;
  double slow_tau_s = 0.5;
};

// Bridge amplifier, converter and clock. The reference is the excitation;
// counts = S F / F_cap gain 2^(bits-1) / reference_share with S in V/V.
struct SimConverter {
  int bits = 24;
  double gain = 128.0;
  double reference_share = 0.5;    // full scale = +-share of reference / gain
  double sample_rate_hz = 1000.0;  // as the rig file says
  double rate_error = 0.0;         // true rate = sample_rate_hz (1 + error)
  double bandwidth_hz = 250.0;     // -3 dB, second-order Butterworth
  double clock_error = 0.0;        // the controller's crystal
  double jitter_us = 0.0;          // time stamps come late by |N(0, jitter)|
  std::uint32_t clock_start_us = 0;
  std::uint32_t first_sequence = 0;
};

struct SimSupply {
  double start_mv = 4050.0;
  double fall_mv_per_min = 0.0;
  double pulse_mv = 0.0;  // radio bursts
  double pulse_s = 0.004;
  double pulse_period_s = 0.1;
  double noise_mv = 0.0;
  double minimum_mv = 3400.0;
};

struct SimSleeve {
  std::string name;
  std::uint64_t seed = 0;
  std::vector<SimCell> cells;  // 1 to kMaxCells
  double safe_load_n = 6000.0;
  double moving_mass_kg = 0.35;
  double damping_ratio = 0.08;
  double grip_thickness_mm = 90.0;
  std::string cover_text;
  SimShell shell;
  SimCover cover;
  SimConverter converter;
  SimSupply supply;
  double temperature_c = 16.0;  // at the start of the day
  double warming_c_per_h = 3.0;

  Plate MakePlate() const;
  // Heave frequency of the moving mass on the cells, sqrt(k/m) / (2 pi).
  double NaturalFrequencyHz() const;
  double CountsPerNewton(int cell) const;
  double RateHz() const {
    return converter.sample_rate_hz * (1.0 + converter.rate_error);
  }
  // Ends of the converter's scale, two's complement.
  std::int64_t WordMin() const { return -(std::int64_t{1} << (Bits() - 1)); }
  std::int64_t WordMax() const { return (std::int64_t{1} << (Bits() - 1)) - 1; }

 private:
  int Bits() const { return converter.bits; }
};

// A sleeve as it might leave a workbench: properties drawn from `seed`, cells
// laid out for `n_cells` (1 to kMaxCells). Equal arguments, equal sleeves.
SimSleeve MakeSleeve(std::uint64_t seed, int n_cells);

// The same sleeve without any error of its own: no shell, noise, creep, drift
// or jitter, equal cells. For tests against closed forms.
SimSleeve MakePerfectSleeve(int n_cells);

// Where the load enters: the middle of the grip and how far the tooth rows
// reach from it. A spread of zero is a point load.
struct SimGrip {
  double x_mm = 0.0;
  double y_mm = 0.0;
  double spread_x_mm = 0.0;
  double spread_y_mm = 0.0;
};

// Share of a force that the shell carries past the cells, averaged over the
// two tooth rows (y_mm +- spread_y_mm, three places each); within [0, 0.5].
double ShellShare(const SimSleeve& sleeve, const SimGrip& grip, double force_n);

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_SLEEVE_H_
