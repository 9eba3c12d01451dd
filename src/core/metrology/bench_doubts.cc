#include "core/metrology/bench_doubts.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "core/metrology/warning_text.h"
#include "core/metrology/wiring_check.h"
#include "core/signal/robust.h"

namespace masseter {
namespace {

constexpr std::size_t kRowsThatShow = 5;
constexpr double kHardlyMoves = 0.02;
// Bench loads of a sleeve reach hundreds of newtons; whole numbers up to here
// are likelier kilograms.
constexpr double kKilogramsAtMost = 150.0;
constexpr double kRangeOverLoad = 10.0;
constexpr double kNobodyLiftsKg = 300.0;
constexpr double kMoreThanRange = 1.2;

void DoubtDeadChannels(const Rig& rig, const std::vector<PositionFacts>& map,
                       std::vector<CalibrationWarning>& out) {
  const std::size_t n = rig.channels.size();
  if (n < 2) return;
  std::vector<double> most(n, 0.0);
  for (const PositionFacts& facts : map) {
    for (std::size_t c = 0; c < facts.per_newton.size(); ++c) {
      most[c] = std::max(most[c], std::abs(facts.per_newton[c]));
    }
  }
  for (std::size_t c = 0; c < n; ++c) {
    std::vector<double> others = most;
    others.erase(others.begin() + static_cast<std::ptrdiff_t>(c));
    if (most[c] >= kHardlyMoves * Median(others)) continue;
    out.push_back({"dead", "channel " + rig.channels[c].name +
                               " hardly moves under any load; check its plug, "
                               "its wires and its cell, then take the readings "
                               "again"});
  }
}

std::string OrderWords(const Rig& rig, const std::vector<std::size_t>& order) {
  std::vector<std::string> moved;
  std::vector<std::string> stands;
  for (std::size_t i = 0; i < order.size(); ++i) {
    if (order[i] == i) continue;
    moved.push_back(rig.channels[i].name);
    stands.push_back(rig.channels[order[i]].name);
  }
  if (moved.size() == 2) {
    return "with " + moved[0] + " and " + moved[1] + " exchanged";
  }
  return "with " + Joined(moved) + " standing where the rig file has " +
         Joined(stands);
}

void DoubtWiring(const Rig& rig, const PreparedBench& prepared,
                 const std::vector<double>& gain,
                 const std::vector<PositionFacts>& map,
                 std::vector<CalibrationWarning>& out) {
  const auto doubt = CheckWiring(map, gain, prepared.bench.cells);
  if (!doubt) return;
  if (doubt->axes_exchanged) {
    out.push_back({"swapped",
                   "the loads lie where the readings say only when x_mm and "
                   "y_mm are exchanged; mend the readings or the rig file and "
                   "calibrate again"});
    return;
  }
  out.push_back({"swapped", "the loads lie where the readings say only " +
                                OrderWords(rig, doubt->order) +
                                "; check plugs, column names and the signs of "
                                "x_mm and y_mm, then calibrate again"});
}

// Channels that print a force: what they say together over the load.
std::optional<double> OwnUnitRatio(const Rig& rig,
                                   const PreparedBench& prepared) {
  std::vector<double> factor;
  for (const Channel& channel : rig.channels) {
    const auto unit = NewtonsPerUnit(channel.unit);
    if (!unit) return std::nullopt;
    factor.push_back(*unit);
  }
  std::vector<double> ratio;
  for (const BenchLoad& load : prepared.bench.loads) {
    if (load.force_n <= 0.0) continue;
    double sum = 0.0;
    for (std::size_t c = 0; c < factor.size(); ++c)
      sum += factor[c] * load.v[c];
    ratio.push_back(std::abs(sum) / load.force_n);
  }
  if (ratio.empty()) return std::nullopt;
  return Median(ratio);
}

// Whole and half numbers only, three different ones at least: what stands on
// weights, not what a transducer shows.
bool LooksLikeWeights(const ReadingsTable& readings) {
  std::vector<double> loads;
  for (const Reading& row : readings.rows) {
    const double load = row.Load();
    if (load <= 0.0) continue;
    if (load != std::round(2.0 * load) / 2.0) return false;
    loads.push_back(load);
  }
  std::sort(loads.begin(), loads.end());
  loads.erase(std::unique(loads.begin(), loads.end()), loads.end());
  return loads.size() >= 3;
}

double LargestLoad(const ReadingsTable& readings) {
  double largest = 0.0;
  for (const Reading& row : readings.rows) {
    largest = std::max(largest, row.Load());
  }
  return largest;
}

std::string UnitDoubt(const Rig& rig, const ReadingsTable& readings,
                      const PreparedBench& prepared) {
  if (const auto ratio = OwnUnitRatio(rig, prepared)) {
    if (*ratio > 2.0 || *ratio < 0.2) {
      return "the channels' own unit makes the loads " + Factor(*ratio) +
             " times what the column " +
             (readings.by_mass ? "mass_kg" : "force_n") +
             " says; 9.8 would be kilograms written as newtons, 0.1 newtons "
             "written as kilograms: check the column's name and the rig's unit";
    }
  }
  const double largest = LargestLoad(readings);
  const auto range = rig.FullRange();
  if (!readings.by_mass) {
    const bool small = !range || range->si() > kRangeOverLoad * largest;
    if (largest <= kKilogramsAtMost && small && LooksLikeWeights(readings)) {
      return "whole numbers up to " + Factor(largest) +
             " under force_n look like kilograms; if they are, name the "
             "column mass_kg and calibrate again";
    }
    return "";
  }
  const double force = prepared.level_force_n.back();
  if (largest > kNobodyLiftsKg ||
      (range && force > kMoreThanRange * range->si())) {
    return "a load of " + Factor(largest) + " kg is " + Newtons(force) +
           (range ? " on a sleeve for " + Newtons(range->si()) : "") +
           "; if newtons or grams were written under mass_kg, mend the column "
           "and calibrate again";
  }
  return "";
}

}  // namespace

Expected<void> RefuseDeadChannels(const Rig& rig, const ReadingsTable& readings,
                                  const std::string& file) {
  if (rig.channels.size() < 2 || readings.rows.size() < kRowsThatShow)
    return {};
  for (std::size_t c = 0; c < rig.channels.size(); ++c) {
    const double first = readings.rows.front().signal[c];
    const bool moves =
        std::any_of(readings.rows.begin(), readings.rows.end(),
                    [&](const Reading& row) { return row.signal[c] != first; });
    if (moves) continue;
    return BadInput(file + ":" + std::to_string(readings.rows.front().line),
                    "channel " + rig.channels[c].name +
                        " reads the same in every row; check its plug and "
                        "wires, or take it out of the rig file");
  }
  return {};
}

std::vector<CalibrationWarning> BenchDoubts(
    const Rig& rig, const ReadingsTable& readings,
    const PreparedBench& prepared, const std::vector<double>& gain,
    const std::vector<PositionFacts>& map) {
  std::vector<CalibrationWarning> out;
  DoubtDeadChannels(rig, map, out);
  if (out.empty()) DoubtWiring(rig, prepared, gain, map, out);
  const std::string unit = UnitDoubt(rig, readings, prepared);
  if (!unit.empty()) out.push_back({"unit", unit});
  return out;
}

}  // namespace masseter
