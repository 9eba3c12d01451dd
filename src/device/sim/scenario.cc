#include "device/sim/scenario.h"

#include <algorithm>
#include <cstddef>
#include <vector>

namespace masseter::sim {
namespace {

std::vector<SimDog> Dogs() {
  // name, breed, kg, squeeze, within, strike/kg, hold, shake, re-grip, x, y
  return {
      {"Brisk", "Malinois", 29.5, 520.0, 0.22, 19.0, 2.4, 0.4, 0.2, 20.0, 0.0},
      {"Juno", "German Shepherd", 31.0, 430.0, 0.25, 15.0, 2.2, 0.3, 0.3, -5.0,
       3.0},
      {"Tarn", "Dutch Shepherd", 27.0, 390.0, 0.28, 17.0, 2.0, 0.6, 0.3, 10.0,
       -4.0},
      {"Oriel", "Rottweiler", 46.0, 680.0, 0.22, 12.0, 2.8, 0.2, 0.2, -15.0,
       0.0},
      {"Pippin", "Malinois", 25.0, 310.0, 0.30, 18.0, 1.8, 0.5, 0.5, 35.0, 5.0},
      {"Sorrel", "Giant Schnauzer", 38.0, 450.0, 0.26, 13.0, 2.2, 0.3, 0.3, 0.0,
       -3.0},
  };
}

DayPlan Plan() {
  DayPlan plan;
  plan.club = "Harrowmere Working Dog Club";
  plan.town = "Harrowmere";
  plan.dogs = Dogs();
  return plan;
}

double StartOf(const SimDay& day, std::size_t bite) {
  return day.bites[bite].start_s;
}

double EndOf(const SimDay& day, std::size_t bite) {
  return day.bites[bite].start_s + day.bites[bite].shape.length_s;
}

double PeakOf(const SimDay& day, std::size_t bite) {
  return StartOf(day, bite) + FiguresOf(day.bites[bite].shape).peak_at_s;
}

void AddDemoTroubles(SimDay& day) {
  // Bite 3 loses 81 ms across its peak, bite 5 has impossible words, a cell's
  // zero moves inside bite 8, the power goes in bite 9 while the force still
  // rises, lines break after bite 13; bite 16 is taken near the elbow, beyond
  // the places that the bench has loaded.
  const double cut = PeakOf(day, 8) - 0.1;
  day.faults = {
      {FaultKind::kGap, PeakOf(day, 2) - 0.04, 0.081, 0, 0.0},
      {FaultKind::kGlitch, StartOf(day, 4) + 0.5, 0.15, 1, 0.0},
      {FaultKind::kZero, StartOf(day, 7) + 0.9, 0.0, 2, 14.0},
      {FaultKind::kRestart, cut, EndOf(day, 8) - cut + 0.4, 0, 0.0},
      {FaultKind::kBrokenLine, EndOf(day, 12) + 1.0, 0.02, 0, 0.0},
  };
  day.bites[15].shape.grip.x_mm = 82.0;
}

}  // namespace

Scenario DemoScenario(std::uint64_t seed, int n_cells) {
  Scenario scenario;
  scenario.seed = seed;
  scenario.sleeve = MakeSleeve(seed, n_cells);
  DayPlan plan = Plan();
  plan.safe_load_n = scenario.sleeve.safe_load_n;
  scenario.day = MakeDay(plan, seed);
  AddDemoTroubles(scenario.day);
  for (Fault& fault : scenario.day.faults) {
    fault.channel = std::min(fault.channel, n_cells - 1);
  }
  return scenario;
}

Scenario ExampleScenario() {
  Scenario scenario;
  scenario.seed = 7;
  scenario.sleeve = MakeSleeve(scenario.seed, 4);
  SimConverter& converter = scenario.sleeve.converter;
  converter.sample_rate_hz = 500.0;
  converter.bandwidth_hz = 125.0;
  converter.clock_start_us = 1'000'000;
  converter.first_sequence = 500;
  DayPlan plan = Plan();
  plan.dogs.resize(3);
  for (SimDog& dog : plan.dogs) dog.hold_s = 1.2;
  plan.rounds = 1;
  plan.first_bite_s = 3.0;
  plan.pause_min_s = 2.8;
  plan.pause_max_s = 3.2;
  scenario.day = MakeDay(plan, scenario.seed);
  SimDay& day = scenario.day;
  day.length_s = EndOf(day, 2) + 1.5;
  day.faults = {
      {FaultKind::kGap, PeakOf(day, 2) - 0.02, 0.045, 0, 0.0},
      {FaultKind::kBrokenLine, EndOf(day, 0) + 1.2, 0.03, 0, 0.0},
  };
  return scenario;
}

}  // namespace masseter::sim
