// A sleeve for tests: a rigid plate on four corner springs whose shell takes a
// share of an off-centre load. Statics of a plate on equal springs (any
// textbook): F_i = F/4 (1 + x x_i / a^2 + y y_i / b^2) for cells at (+-a, +-b).
// It shares no code with the simulated sleeve.
#ifndef MASSETER_CORE_METROLOGY_PLATE_TESTING_H_
#define MASSETER_CORE_METROLOGY_PLATE_TESTING_H_

#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "core/metrology/estimator.h"
#include "core/rig/rig.h"

namespace masseter::testing_plate {

// Draws that are the same with every standard library: only the engine's bits
// are specified by the standard, not its distributions.
class Draw {
 public:
  explicit Draw(std::uint64_t seed) : engine_(seed) {}
  double Uniform(double low, double high) {
    return low + (high - low) * static_cast<double>(engine_() >> 11) * 0x1p-53;
  }
  double Normal(double sd) {  // Box and Muller
    const double u = Uniform(0x1p-60, 1.0);
    return sd * std::sqrt(-2.0 * std::log(u)) *
           std::cos(2.0 * std::numbers::pi * Uniform(0.0, 1.0));
  }

 private:
  std::mt19937_64 engine_;
};

struct Plate {
  double a_mm = 60.0;  // half the distance of the cells along
  double b_mm = 25.0;  // and across
  std::array<double, 4> counts_per_n = {210.0, 195.0, 205.0, 188.0};
  std::array<double, 4> zero = {1200.0, -800.0, 350.0, 90.0};
  double shell = 0.06;  // share lost at (a, 0), more across
  double tilt = 0.01;   // share lost along x, one way

  std::vector<Place> Cells() const {
    return {{-a_mm, -b_mm}, {a_mm, -b_mm}, {-a_mm, b_mm}, {a_mm, b_mm}};
  }

  // Share of the force that reaches the cells.
  double Carried(Place at) const {
    const double u = at.x_mm / a_mm;
    const double w = at.y_mm / b_mm;
    return 1.0 - shell * (u * u + 0.7 * w * w) - tilt * u;
  }

  std::vector<double> Signals(double force_n, Place at) const {
    std::vector<double> out;
    const std::vector<Place> cells = Cells();
    for (std::size_t i = 0; i < 4; ++i) {
      const double share =
          0.25 * (1.0 + at.x_mm * cells[i].x_mm / (a_mm * a_mm) +
                  at.y_mm * cells[i].y_mm / (b_mm * b_mm));
      out.push_back(zero[i] + counts_per_n[i] * share * force_n * Carried(at));
    }
    return out;
  }
};

inline Rig FourCellRig(const Plate& plate, double rate_hz = 1000.0) {
  Rig rig;
  rig.name = "four cells";
  rig.sample_rate_hz = rate_hz;
  rig.safe_load = Force(4000.0);
  int i = 1;
  for (const Place& cell : plate.Cells()) {
    Channel channel;
    channel.name = "c" + std::to_string(i++);
    channel.x = Length(cell.x_mm * 1e-3);
    channel.y = Length(cell.y_mm * 1e-3);
    channel.capacity = Force(2000.0);
    channel.adc_min = -8388608.0;
    channel.adc_max = 8388607.0;
    rig.channels.push_back(channel);
  }
  return rig;
}

inline Rig OneCellRig(SignalUnit unit, double rate_hz = 1000.0) {
  Rig rig;
  rig.name = "one cell";
  rig.sample_rate_hz = rate_hz;
  rig.safe_load = Force(4000.0);
  Channel channel;
  channel.name = "c1";
  channel.unit = unit;
  rig.channels.push_back(channel);
  return rig;
}

// Shortest text of a number that is enough for a readings file.
inline std::string Text(double value) {
  const long long thousandths = std::llround(value * 1000.0);
  const long long whole = thousandths / 1000;
  std::string part = std::to_string(std::llabs(thousandths % 1000));
  part.insert(0, 3 - part.size(), '0');
  return std::string(thousandths < 0 && whole == 0 ? "-" : "") +
         std::to_string(whole) + "." + part;
}

inline constexpr double kGravity = 9.81225;
// m g (1 - 1.2/8000): OIML D 28's conventional air and weights.
inline double WeightForce(double mass_kg) {
  return mass_kg * kGravity * (1.0 - 1.2 / 8000.0);
}

// How the bench day goes.
struct BenchDay {
  std::vector<Place> places = {{0, 0},   {-45, 0},  {45, 0},
                               {0, -15}, {0, 15},   {-45, -15},
                               {45, 15}, {-45, 15}, {45, -15}};
  std::vector<double> masses_kg = {5, 20, 40, 60, 75};
  int series = 3;
  double noise_counts = 8.0;      // of a settled reading
  double drift_counts = 20.0;     // of every zero over a series
  double hysteresis = 0.0005;     // falling loads read higher by this share
  double creep = 0.0;             // resting weights read higher by this share
  double weight_tolerance = 0.0;  // each weight is off by up to this share
  std::uint64_t seed = 11;
};

// A readings file of that day, header in line 1. Each series: a zero, then
// every place with rising and falling loads, a zero between places, a zero.
inline std::string Readings(const Plate& plate, const BenchDay& day) {
  Draw draw(day.seed);
  std::string text = "series,direction,mass_kg,x_mm,y_mm,c1,c2,c3,c4\n";
  std::vector<double> off;
  for (std::size_t k = 0; k < day.masses_kg.size(); ++k) {
    off.push_back(draw.Uniform(-day.weight_tolerance, day.weight_tolerance));
  }
  for (int s = 1; s <= day.series; ++s) {
    double drift = 0.0;
    const double step =
        day.drift_counts /
        static_cast<double>(day.places.size() * 2 * day.masses_kg.size());
    const auto row = [&](double mass, double force, Place at, bool up) {
      const bool placed = mass > 0.0;
      text += std::to_string(s) + (up ? ",up," : ",down,") + Text(mass) + "," +
              (placed ? Text(at.x_mm) : "") + "," +
              (placed ? Text(at.y_mm) : "");
      for (const double v : plate.Signals(force, at)) {
        text +=
            "," + Text(std::round(v + drift + draw.Normal(day.noise_counts)));
      }
      text += "\n";
      drift += step;
    };
    row(0.0, 0.0, {}, true);
    for (const Place& at : day.places) {
      const std::size_t n = day.masses_kg.size();
      for (std::size_t k = 0; k < 2 * n - 1; ++k) {
        const bool up = k < n;
        const std::size_t m = up ? k : 2 * n - 2 - k;
        const double mass = day.masses_kg[m];
        const double force = WeightForce(mass) * (1.0 + off[m]) *
                             (1.0 + day.creep) *
                             (1.0 + (up ? 0.0 : day.hysteresis));
        row(mass, force, at, up);
      }
      row(0.0, 0.0, {}, false);
    }
  }
  return text;
}

}  // namespace masseter::testing_plate

#endif  // MASSETER_CORE_METROLOGY_PLATE_TESTING_H_
