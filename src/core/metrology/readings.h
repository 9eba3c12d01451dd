// Bench readings: one settled load a row, as text and as reference forces.
// Format: docs/formats/readings.md.
#ifndef MASSETER_CORE_METROLOGY_READINGS_H_
#define MASSETER_CORE_METROLOGY_READINGS_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/error.h"
#include "core/rig/rig.h"

namespace masseter {

// One row of the readings file. Exactly one of mass_kg and force_n is given
// (the same one in every row of a file).
struct Reading {
  int line = 0;  // in the file, 1-based
  std::string series;
  bool rising = true;  // direction "up"
  std::optional<double> mass_kg;
  std::optional<double> force_n;
  double x_mm = 0.0;
  double y_mm = 0.0;
  std::optional<double> temp_c;
  std::optional<double> t_s;
  std::vector<double> signal;  // a value a channel, in the rig's order
  // The load as stated, in its own unit; 0 for a zero reading.
  double Load() const { return mass_kg ? *mass_kg : force_n.value_or(0.0); }
};

struct ReadingsTable {
  std::vector<Reading> rows;
  bool by_mass = false;       // loads are masses, else forces
  bool has_position = false;  // the file has x_mm and y_mm
};

// Reads `series,direction,mass_kg|force_n,x_mm,y_mm[,temp_c][,t_s],<channel…>`
// with a header line that names the columns in any order. Needed: one load
// column and every channel of the rig. `series` defaults to "1", `direction`
// to "up". Blank lines and `#` comments are passed over. Errors name the line
// (":14") and the text that is wrong; `file` goes before it.
Expected<ReadingsTable> ParseReadings(std::string_view text,
                                      const std::string& file, const Rig& rig);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_READINGS_H_
