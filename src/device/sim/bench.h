// The simulated sleeve on the bench: dead weights over positions, series,
// rising and falling, as the readings file of docs/formats/readings.md.
#ifndef MASSETER_DEVICE_SIM_BENCH_H_
#define MASSETER_DEVICE_SIM_BENCH_H_

#include <cstdint>
#include <string>
#include <vector>

#include "device/sim/sleeve.h"

namespace masseter::sim {

struct BenchPosition {
  double x_mm = 0.0;
  double y_mm = 0.0;
};

struct BenchPlan {
  std::vector<BenchPosition> positions;
  std::vector<double> masses_kg;  // rising, without 0
  int series = 3;                 // labels A, B, C ...
  bool falling = true;            // back down through the same masses
  double gravity_m_s2 = 9.81225;
  double air_density_kg_m3 = 1.2;
  double weight_density_kg_m3 = 7850.0;  // steel
  double weight_error = 5e-5;   // standard deviation of a weight's error
  double placing_mm = 0.5;      // standard deviation, limited to +-1 mm
  double settle_s = 20.0;       // between two readings
  double temperature_c = 18.0;  // room; wanders by about half a degree
  int averaged = 200;           // samples behind one reading
};

// Eleven positions (fewer where the cells give no line or area to place on),
// 5 to 60 kg in seven steps, three series up and down.
BenchPlan DefaultBenchPlan(const SimSleeve& sleeve);

// Columns series,direction,mass_kg,x_mm,y_mm,temp_c,t_s,<cells>: one row a
// settled load, a zero before and after every run. The masses and places are
// the nominal ones; the simulated sleeve feels the true ones. Readings in
// counts with one decimal (means). Equal arguments, equal bytes.
std::string BenchReadingsCsv(const SimSleeve& sleeve, const BenchPlan& plan,
                             std::uint64_t seed);

// Force of a dead weight on the plate, N: m g (1 - rho_air / rho_weight),
// docs/method.md section 3.
double DeadWeightForce(const BenchPlan& plan, double mass_kg);

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_BENCH_H_
