// The files that go with a simulated day, as text. Formats: docs/formats/.
// The caller writes them where it likes. Pure functions.
#ifndef MASSETER_DEVICE_SIM_TEXTS_H_
#define MASSETER_DEVICE_SIM_TEXTS_H_

#include <cstdint>
#include <string>

#include "device/sim/bench.h"
#include "device/sim/day.h"
#include "device/sim/sleeve.h"
#include "device/sim/truth.h"

namespace masseter::sim {

// A rig file that describes `sleeve` as its builder would: nominal values, no
// knowledge of its errors.
std::string RigToml(const SimSleeve& sleeve);

std::string RosterCsv(const SimDay& day);  // dog,breed,mass_kg
// t_s,dog in capture time; "!out" rows are the command to let go.
std::string MarksCsv(const Truth& truth);

struct SimFiles {
  std::string rig_toml;
  std::string readings_csv;
  std::string roster_csv;
  std::string marks_csv;
  std::string capture_csv;
  std::string truth_json;
};
// Plays the whole day at once (about a second for 150 s of 1000 Hz).
SimFiles MakeSimFiles(const SimSleeve& sleeve, const SimDay& day,
                      const BenchPlan& plan, std::uint64_t seed);

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_TEXTS_H_
