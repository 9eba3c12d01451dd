// The figures of a scripted bite, computed from its samples.
#ifndef MASSETER_PAGES_REPLAY_MEASURE_H_
#define MASSETER_PAGES_REPLAY_MEASURE_H_

#include <nlohmann/json.hpp>
#include <string>

#include "pages/replay_script.h"

namespace masseter::replay {

struct Figures {
  double peak_n = 0.0;
  double peak_at_s = 0.0;
  double strike_n = 0.0;
  double squeeze_n = 0.0;  // 0 while shorter than 0.45 s
  double held_n = 0.0;
  double impulse_ns = 0.0;
  double rise_s = 0.0;
};

// From the bite's start to `until_s` (at most its end), samples 1 ms apart.
Figures Measure(const ScriptedBite& bite, double until_s);

// Which bite of the day it is, and whose.
struct Told {
  int id = 0;
  int sleeve = 0;
  std::string dog;
  std::string struck;  // the operator's reason, "" while it counts
};

// The `bite` message of api/README.md, as the recorder would send it.
nlohmann::json BiteMessage(const ScriptedBite& bite, const Told& told);

// "14:05:31" for the day's time: it starts at 14:05.
std::string ClockAt(double t_s);

}  // namespace masseter::replay

#endif  // MASSETER_PAGES_REPLAY_MEASURE_H_
