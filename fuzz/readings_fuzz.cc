// Any bytes as a readings file: parsed or refused with a place, and what was
// parsed can be handed to the calibration without harm.
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "core/metrology/calibration.h"
#include "core/metrology/readings.h"

namespace {

using masseter::Calibrate;
using masseter::ParseReadings;
using masseter::ReadingsTable;
using masseter::Rig;

// A rig of one cell without a place and one of four cells on a plate.
Rig MakeRig(int cells) {
  Rig rig;
  rig.name = "fuzzed";
  rig.sample_rate_hz = 1000.0;
  for (int i = 0; i < cells; ++i) {
    masseter::Channel channel;
    channel.name = "c" + std::to_string(i + 1);
    if (cells > 1) {
      channel.x = masseter::Length(i % 2 == 0 ? -0.06 : 0.06);
      channel.y = masseter::Length(i < 2 ? -0.02 : 0.02);
    }
    channel.capacity = masseter::Force(1500.0);
    channel.adc_min = -8388608.0;
    channel.adc_max = 8388607.0;
    rig.channels.push_back(channel);
  }
  return rig;
}

void Require(bool holds) {
  if (!holds) std::abort();
}

void CheckTable(const ReadingsTable& table, const Rig& rig) {
  int line = 0;
  for (const masseter::Reading& row : table.rows) {
    Require(row.line > line);
    line = row.line;
    Require(row.mass_kg.has_value() != row.force_n.has_value());
    Require(row.mass_kg.has_value() == table.by_mass);
    Require(std::isfinite(row.Load()) && row.Load() >= 0.0);
    Require(row.signal.size() == rig.channels.size());
    for (const double v : row.signal) Require(std::isfinite(v));
  }
}

void TryOn(const Rig& rig, std::string_view text) {
  const auto table = ParseReadings(text, "readings.csv", rig);
  if (!table) {
    Require(table.error().where.rfind("readings.csv", 0) == 0);
    Require(!table.error().what.empty());
    return;
  }
  CheckTable(*table, rig);
  // Fits are cubic in the rows at worst; a long file proves nothing more.
  if (table->rows.size() > 64) return;
  const auto calibration = Calibrate(rig, *table, {}, "readings.csv");
  if (!calibration) Require(!calibration.error().what.empty());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  static const Rig one = MakeRig(1);
  static const Rig four = MakeRig(4);
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  TryOn(one, text);
  TryOn(four, text);
  return 0;
}
