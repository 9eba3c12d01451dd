// A day at an invented club: who is up when, which bites come, what the
// helper's hands do in between, and what goes wrong. Times are day time:
// seconds since the recorder was switched on, as a perfect clock counts them
// (the truth file translates to the capture's time).
#ifndef MASSETER_DEVICE_SIM_DAY_H_
#define MASSETER_DEVICE_SIM_DAY_H_

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "device/sim/bite_shape.h"
#include "device/sim/sleeve.h"

namespace masseter::sim {

struct SimDog {
  std::string name;
  std::string breed;
  double mass_kg = 30.0;
  double squeeze_median_n = 360.0;
  double within_sigma = 0.41;  // standard deviation of ln, bite to bite
  double strike_n_per_kg = 15.0;
  double hold_s = 2.2;
  double shake_chance = 0.4;
  double regrip_chance = 0.3;
  double x_mm = 0.0;  // where it likes to grip
  double y_mm = 0.0;
};

struct SimBite {
  int dog = 0;  // index into SimDay::dogs
  double start_s = 0.0;
  BiteShape shape;
  std::optional<double> out_s;  // when "out" is called
};

// Loads that are not bites.
enum class HandlingKind : std::uint8_t { kPutOn, kPat, kBrush, kTap };
std::string_view HandlingWord(HandlingKind kind);

struct Handling {
  HandlingKind kind = HandlingKind::kPat;
  double start_s = 0.0;
  double length_s = 0.1;
  double force_n = 5.0;
  double x_mm = 0.0;
  double y_mm = 0.0;
};

enum class FaultKind : std::uint8_t {
  kGap,         // samples printed by the device but lost on the way
  kRestart,     // power lost for length_s, then a fresh start
  kSag,         // supply under its minimum for length_s
  kRail,        // a channel at the end of its scale (amount < 0: lower end)
  kStuck,       // a channel repeats its last word
  kGlitch,      // single words of the form 2^k - 1, about every tenth sample
  kLoose,       // a channel makes and breaks
  kZero,        // a channel's zero jumps by `amount` newtons and stays there
  kBrokenLine,  // one line in three is cut short or runs into the next
};
std::string_view FaultWord(FaultKind kind);

struct Fault {
  FaultKind kind = FaultKind::kGap;
  double start_s = 0.0;
  double length_s = 0.0;
  int channel = 0;
  double amount = 0.0;
};

struct Mark {
  double at_s = 0.0;
  std::string dog;  // "!out" for the command to let go
};

struct SimDay {
  std::string club;
  std::string town;
  std::vector<SimDog> dogs;
  std::vector<SimBite> bites;  // in order of time, not overlapping
  std::vector<Handling> handling;
  std::vector<Fault> faults;
  std::vector<Mark> marks;  // in order of time
  double length_s = 0.0;
};

// The true force of the bite going on at `t_s`, and 0 between bites. The dog's
// only: handling is not in it.
double TrueForce(const SimDay& day, double t_s);
// Index of the bite going on, or -1.
int BiteAt(const SimDay& day, double t_s);
// The handling's force at `t_s`.
double HandlingForce(const Handling& handling, double t_s);

// How a day is drawn.
struct DayPlan {
  std::string club;
  std::string town;
  std::vector<SimDog> dogs;
  int rounds = 3;  // bites a dog
  double first_bite_s = 4.0;
  double pause_min_s = 4.0;  // from a bite's end to the next bite's start
  double pause_max_s = 8.0;
  double safe_load_n = 6000.0;  // strikes and squeezes stay below half of it
  bool handling = true;
  bool out_marks = true;
};

// Bites, handling and marks drawn from `seed`; no faults. Dogs come up in
// rounds, in the plan's order, reversed every second round.
SimDay MakeDay(const DayPlan& plan, std::uint64_t seed);

// Dogs "D1", "D2", ... whose squeezes scatter as published for Malinois on an
// instrumented sleeve (docs/simulated-sleeve.md): median 247 N, standard
// deviation of the logarithm 0.72 between dogs and 0.41 within one.
std::vector<SimDog> DrawDogs(int n, std::uint64_t seed);

// One bite of `dog`, drawn.
class Random;
BiteShape DrawBite(const SimDog& dog, double limit_n, Random& random);

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_DAY_H_
