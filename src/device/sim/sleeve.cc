#include "device/sim/sleeve.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstddef>

#include "device/sim/portable_math.h"
#include "device/sim/random.h"

namespace masseter::sim {
namespace {

struct Place {
  double x_mm;
  double y_mm;
};

std::vector<Place> Layout(int n_cells) {
  switch (n_cells) {
    case 1:
      return {{0, 0}};
    case 2:
      return {{-60, 0}, {60, 0}};
    case 3:
      return {{-60, -20}, {60, -20}, {0, 25}};
    case 4:
      return {{-60, -20}, {60, -20}, {-60, 20}, {60, 20}};
    case 5:
      return {{-60, -20}, {60, -20}, {-60, 20}, {60, 20}, {0, 0}};
    default:
      return {{-75, -20}, {0, -20}, {75, -20}, {-75, 20}, {0, 20}, {75, 20}};
  }
}

std::string NameFor(int n_cells) {
  static constexpr std::array<const char*, kMaxCells> kWords = {
      "one cell",   "two cells",  "three cells",
      "four cells", "five cells", "six cells"};
  return std::string("Forearm sleeve, ") +
         kWords[static_cast<std::size_t>(n_cells - 1)];
}

// Sizes: docs/simulated-sleeve.md, "Cells".
void DrawCell(Random& random, int n_cells, SimCell& cell) {
  cell.stiffness_n_per_mm *= 1.0 + 0.03 * random.Normal();
  cell.sensitivity_mv_per_v *= 1.0 + 0.005 * random.Normal();
  cell.curvature = 0.0008 * random.Normal();
  cell.creep_fast = 0.0001 * (1.0 + 0.3 * random.Normal());
  cell.creep_slow = 0.0003 * (1.0 + 0.3 * random.Normal());
  cell.hysteresis = 0.0002 * (1.0 + 0.3 * random.Normal());
  cell.zero_n = 0.01 * cell.capacity_n * random.Normal();
  cell.zero_n_per_c = 0.00003 * cell.capacity_n * random.Normal();
  cell.span_per_c = 0.00002 * random.Normal();
  cell.warm_up_n = 0.6 * random.Normal();
  cell.noise_n = 0.09 * (1.0 + 0.1 * random.Normal());
  cell.flicker_n = 0.04 * (1.0 + 0.1 * random.Normal());
  for (int j = 0; j < n_cells; ++j) {
    cell.crosstalk[static_cast<std::size_t>(j)] = 0.0015 * random.Normal();
  }
}

SimSleeve BareSleeve(int n_cells) {
  assert(n_cells >= 1 && n_cells <= kMaxCells);
  SimSleeve sleeve;
  sleeve.name = NameFor(n_cells);
  sleeve.cover_text = "jute over 12 mm closed-cell foam";
  for (const Place& place : Layout(n_cells)) {
    SimCell cell;
    cell.name = "c" + std::to_string(sleeve.cells.size() + 1);
    cell.x_mm = place.x_mm;
    cell.y_mm = place.y_mm;
    // Fewer cells must be larger and stiffer to carry the same bite.
    cell.capacity_n = n_cells <= 2 ? 3000.0 : 1500.0;
    cell.stiffness_n_per_mm = 2400.0 / n_cells;
    sleeve.cells.push_back(cell);
  }
  sleeve.safe_load_n = n_cells == 1 ? 3000.0 : 6000.0;
  return sleeve;
}

}  // namespace

Plate SimSleeve::MakePlate() const {
  std::vector<Support> supports;
  for (const SimCell& c : cells) {
    supports.push_back({c.x_mm, c.y_mm, c.stiffness_n_per_mm});
  }
  return Plate(supports);
}

double SimSleeve::NaturalFrequencyHz() const {
  double k_n_per_mm = 0.0;
  for (const SimCell& c : cells) k_n_per_mm += c.stiffness_n_per_mm;
  return std::sqrt(1000.0 * k_n_per_mm / moving_mass_kg) / (2.0 * kPi);
}

double SimSleeve::CountsPerNewton(int cell) const {
  const SimCell& c = cells[static_cast<std::size_t>(cell)];
  return 1e-3 * c.sensitivity_mv_per_v / c.capacity_n * converter.gain *
         std::ldexp(1.0, converter.bits - 1) / converter.reference_share;
}

SimSleeve MakePerfectSleeve(int n_cells) { return BareSleeve(n_cells); }

SimSleeve MakeSleeve(std::uint64_t seed, int n_cells) {
  SimSleeve sleeve = BareSleeve(n_cells);
  sleeve.seed = seed;
  Random random(seed, 1);
  for (SimCell& cell : sleeve.cells) DrawCell(random, n_cells, cell);
  sleeve.moving_mass_kg *= 1.0 + 0.05 * random.Normal();
  sleeve.damping_ratio = random.Uniform(0.05, 0.12);
  sleeve.shell.edge_share = random.Uniform(0.02, 0.045);
  sleeve.shell.lean_x = random.Uniform(-0.3, 0.3);
  sleeve.shell.lean_y = random.Uniform(-0.3, 0.3);
  sleeve.shell.growth = random.Uniform(0.0, 0.05);
  sleeve.cover.slow_share = random.Uniform(0.001, 0.002);
  sleeve.cover.slow_tau_s = random.Uniform(0.3, 0.7);
  SimConverter& converter = sleeve.converter;
  converter.rate_error = random.Uniform(-0.005, 0.005);
  converter.clock_error = 2e-5 * random.Normal();
  converter.jitter_us = 12.0;
  converter.first_sequence = random.Next() % 20000;
  // The clock wraps 20 s into the day.
  converter.clock_start_us = 0U - 20'000'000U;
  sleeve.supply.start_mv = random.Uniform(3850.0, 4050.0);
  sleeve.supply.fall_mv_per_min = random.Uniform(3.0, 9.0);
  sleeve.supply.pulse_mv = random.Uniform(50.0, 110.0);
  sleeve.supply.noise_mv = 2.0;
  return sleeve;
}

double ShellShare(const SimSleeve& sleeve, const SimGrip& grip,
                  double force_n) {
  const SimShell& shell = sleeve.shell;
  double sum = 0.0;
  for (int row = -1; row <= 1; row += 2) {
    for (int along = -1; along <= 1; ++along) {
      const double u =
          (grip.x_mm + along * grip.spread_x_mm) / shell.half_length_mm;
      const double v =
          (grip.y_mm + row * grip.spread_y_mm) / shell.half_width_mm;
      const double r2 = std::min(u * u + v * v, 4.0);
      sum +=
          (r2 + 0.25 * r2 * r2) * (1.0 + shell.lean_x * u + shell.lean_y * v);
    }
  }
  const double growth = 1.0 + shell.growth * force_n / sleeve.safe_load_n;
  return std::clamp(shell.edge_share * sum / 6.0 * growth, 0.0, 0.5);
}

}  // namespace masseter::sim
