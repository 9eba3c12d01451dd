// The demonstration's invented club and the short example of
// examples/field-day. Nobody here exists: club, town and dogs are made up.
#ifndef MASSETER_DEVICE_SIM_SCENARIO_H_
#define MASSETER_DEVICE_SIM_SCENARIO_H_

#include <cstdint>

#include "device/sim/day.h"
#include "device/sim/sleeve.h"

namespace masseter::sim {

struct Scenario {
  SimSleeve sleeve;
  SimDay day;
  std::uint64_t seed = 0;  // for SimStream
};

inline constexpr std::uint64_t kDemoSeed = 20;

// Six dogs, three rounds, eighteen bites in about two and a half minutes; the
// first bite 4 s after the start, pauses of 4 to 8 s (a real field day rests
// its dogs far longer). With faults: a gap over a bite's peak, a glitching
// word, a zero that moves, one loss of power while a dog bites, and broken
// lines.
Scenario DemoScenario(std::uint64_t seed = kDemoSeed, int n_cells = 4);

// Three dogs, three bites, 16 s at 500 samples/s; a gap in the third bite and
// a few broken lines between bites.
Scenario ExampleScenario();

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_SCENARIO_H_
