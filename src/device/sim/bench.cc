#include "device/sim/bench.h"

#include <algorithm>
#include <cstddef>
#include <span>

#include "device/sim/cell_bank.h"
#include "device/sim/load_path.h"
#include "device/sim/number_print.h"
#include "device/sim/random.h"

namespace masseter::sim {
namespace {

constexpr double kSwitchedOnS = 1800.0;  // warmed up before the first reading

class Bench {
 public:
  Bench(const SimSleeve& sleeve, const BenchPlan& plan, std::uint64_t seed)
      : sleeve_(sleeve),
        plan_(plan),
        plate_(sleeve.MakePlate()),
        random_(seed, 7),
        cells_(sleeve, plan.settle_s, Random(seed, 8)),
        forces_(sleeve.cells.size()),
        counts_(sleeve.cells.size()) {
    for (std::size_t i = 0; i < plan.masses_kg.size(); ++i) {
      weight_errors_.push_back(plan.weight_error * random_.Normal());
    }
  }

  std::string Run() {
    text_ = "series,direction,mass_kg,x_mm,y_mm,temp_c,t_s";
    for (const SimCell& cell : sleeve_.cells) text_ += "," + cell.name;
    text_ += '\n';
    for (int s = 0; s < plan_.series; ++s) {
      for (const BenchPosition& at : plan_.positions) Position(s, at);
    }
    return text_;
  }

 private:
  double Placing() {
    return std::clamp(plan_.placing_mm * random_.Normal(), -1.0, 1.0);
  }

  // One run: zero, up, down, zero, with one placing of the loading foot.
  void Position(int series, const BenchPosition& at) {
    const SimGrip foot{at.x_mm + Placing(), at.y_mm + Placing(), 0.0, 0.0};
    const std::size_t n = plan_.masses_kg.size();
    Row(series, "up", at, foot, -1);
    for (std::size_t i = 0; i < n; ++i) {
      Row(series, "up", at, foot, static_cast<int>(i));
    }
    for (std::size_t i = n - 1; plan_.falling && i-- > 0;) {
      Row(series, "down", at, foot, static_cast<int>(i));
    }
    Row(series, "down", at, foot, -1);
  }

  void Row(int series, const char* direction, const BenchPosition& at,
           const SimGrip& foot, int weight) {
    double nominal_kg = 0.0;
    double force_n = 0.0;
    if (weight >= 0) {
      const auto w = static_cast<std::size_t>(weight);
      nominal_kg = plan_.masses_kg[w];
      force_n = DeadWeightForce(plan_, nominal_kg * (1.0 + weight_errors_[w]));
    }
    PlateLoad load;
    AddLoad(sleeve_, plate_, force_n, foot, load);
    plate_.Reactions(load.force_n, load.moment_x_nmm, load.moment_y_nmm,
                     forces_);
    room_c_ += 0.2 * (0.6 * random_.Normal() - room_c_);
    const double temperature_c = plan_.temperature_c + room_c_;
    cells_.Read(forces_, temperature_c, kSwitchedOnS + now_s_, plan_.averaged,
                counts_);
    Print(series, direction, nominal_kg, at, temperature_c);
    now_s_ += plan_.settle_s;
  }

  void Print(int series, const char* direction, double mass_kg,
             const BenchPosition& at, double temperature_c) {
    text_ += static_cast<char>('A' + series);
    text_ += ',';
    text_ += direction;
    text_ += ',' + Fixed(mass_kg, 1);
    text_ += ',' + Fixed(at.x_mm, 1) + ',' + Fixed(at.y_mm, 1);
    text_ += ',' + Fixed(temperature_c, 1) + ',' + Fixed(now_s_, 0);
    for (std::size_t i = 0; i < counts_.size(); ++i) {
      const double lo = static_cast<double>(sleeve_.WordMin());
      const double hi = static_cast<double>(sleeve_.WordMax());
      text_ += ',' + Fixed(std::clamp(counts_[i], lo, hi), 1);
    }
    text_ += '\n';
  }

  const SimSleeve& sleeve_;
  const BenchPlan& plan_;
  Plate plate_;
  Random random_;
  CellBank cells_;
  std::vector<double> weight_errors_;
  std::vector<double> forces_;
  std::vector<double> counts_;
  double room_c_ = 0.0;
  double now_s_ = 0.0;
  std::string text_;
};

}  // namespace

double DeadWeightForce(const BenchPlan& plan, double mass_kg) {
  return mass_kg * plan.gravity_m_s2 *
         (1.0 - plan.air_density_kg_m3 / plan.weight_density_kg_m3);
}

BenchPlan DefaultBenchPlan(const SimSleeve& sleeve) {
  BenchPlan plan;
  plan.masses_kg = {5, 10, 20, 30, 40, 50, 60};
  const double x = sleeve.cells.size() == 1 ? 40.0 : 60.0;
  plan.positions = {{0, 0},  {-x / 2, 0}, {x / 2, 0}, {-x, 0},
                    {x, 0},  {-x, -15},   {x, -15},   {-x, 15},
                    {x, 15}, {0, -15},    {0, 15}};
  return plan;
}

std::string BenchReadingsCsv(const SimSleeve& sleeve, const BenchPlan& plan,
                             std::uint64_t seed) {
  return Bench(sleeve, plan, seed).Run();
}

}  // namespace masseter::sim
