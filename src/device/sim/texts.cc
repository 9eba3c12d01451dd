#include "device/sim/texts.h"

#include "device/sim/number_print.h"
#include "device/sim/stream.h"

namespace masseter::sim {

std::string RigToml(const SimSleeve& sleeve) {
  const SimConverter& converter = sleeve.converter;
  std::string out = "# A simulated sleeve: invented, not a built one.\n[rig]\n";
  out += "name              = \"" + sleeve.name + "\"\n";
  out += "sample_rate_hz    = " + Fixed(converter.sample_rate_hz, 0) + "\n";
  out += "safe_load_n       = " + Fixed(sleeve.safe_load_n, 0) + "\n";
  out += "bandwidth_hz      = " + Fixed(converter.bandwidth_hz, 0) + "\n";
  out += "moving_mass_kg    = " + Fixed(sleeve.moving_mass_kg, 2) + "\n";
  out += "grip_thickness_mm = " + Fixed(sleeve.grip_thickness_mm, 0) + "\n";
  out += "cover             = \"" + sleeve.cover_text + "\"\n\n";
  out += "[text]\nseparator = \",\"\ncolumns   = [\"seq\", \"t_us\"";
  for (const SimCell& cell : sleeve.cells) out += ", \"" + cell.name + "\"";
  out += ", \"supply_mv\"]\n\n";
  for (const SimCell& cell : sleeve.cells) {
    out += "[[channel]]\n";
    out += "name       = \"" + cell.name + "\"\n";
    out += "x_mm       = " + Fixed(cell.x_mm, 1) + "\n";
    out += "y_mm       = " + Fixed(cell.y_mm, 1) + "\n";
    out += "capacity_n = " + Fixed(cell.capacity_n, 1) + "\n";
    out += "adc_bits   = " + std::to_string(converter.bits) + "\n";
    out += "unit       = \"count\"\n\n";
  }
  out += "[supply]\nminimum_mv = " + Fixed(sleeve.supply.minimum_mv, 0) + "\n";
  return out;
}

std::string RosterCsv(const SimDay& day) {
  std::string out = "dog,breed,mass_kg\n";
  for (const SimDog& dog : day.dogs) {
    out += dog.name + "," + dog.breed + "," + Fixed(dog.mass_kg, 1) + "\n";
  }
  return out;
}

std::string MarksCsv(const Truth& truth) {
  std::string out = "t_s,dog\n";
  for (const Mark& mark : truth.marks) {
    out += Fixed(mark.at_s, 2) + "," + mark.dog + "\n";
  }
  return out;
}

SimFiles MakeSimFiles(const SimSleeve& sleeve, const SimDay& day,
                      const BenchPlan& plan, std::uint64_t seed) {
  SimStream stream(sleeve, day, seed);
  SimFiles files;
  files.capture_csv = stream.Next(day.length_s);
  const Truth truth = stream.MakeTruth();
  files.rig_toml = RigToml(sleeve);
  files.readings_csv = BenchReadingsCsv(sleeve, plan, seed);
  files.roster_csv = RosterCsv(day);
  files.marks_csv = MarksCsv(truth);
  files.truth_json = TruthJson(truth);
  return files;
}

}  // namespace masseter::sim
