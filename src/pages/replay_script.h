// The script of the made-up day: when which dog bites, how hard, and what goes
// wrong. Forces are newtons, times seconds from the start of the day.
#ifndef MASSETER_PAGES_REPLAY_SCRIPT_H_
#define MASSETER_PAGES_REPLAY_SCRIPT_H_

#include <array>
#include <cmath>
#include <numbers>

namespace masseter::replay {

struct Trouble {
  const char* code;
  const char* text;
  double effect_n;
};

struct ScriptedBite {
  const char* dog;
  double up_s;     // from when this dog is up
  double start_s;  // first touch
  double rise_s;
  double strike_n;
  double squeeze_n;
  double hold_s;
  double relative_u95;
  const char* verdict;
  bool at_least;
  double gap_from_s;  // samples missing, empty when both are equal
  double gap_to_s;
  std::array<Trouble, 2> trouble;  // code null: none
};

// clang-format off
inline constexpr ScriptedBite kBites[] = {
    {"Tarn", 0, 6.0, 0.14, 806, 700, 2.6, 0.02, "doubtful", true, 6.13, 9.4,
     {{{"restart", "the sleeve started again while force rose", 0},
       {"sag", "supply fell to 3.21 V, below 3.40 V", 0}}}},
    {"Brisk", 12, 20.0, 0.11, 505, 470, 3.1, 0.075, "doubtful", false, 0, 0,
     {{{"zero", "the zero moved by 31 N during this bite", 31},
       {nullptr, nullptr, 0}}}},
    {"Moss", 28, 34.0, 0.12, 420, 360, 2.2, 0.3, "void", false, 0, 0,
     {{{"stuck", "c3 did not move while its neighbours did", 120},
       {nullptr, nullptr, 0}}}},
    {"Juno", 42, 50.0, 0.08, 962, 640, 3.4, 0.009, "sound", false, 0, 0,
     {{{nullptr, nullptr, 0}, {nullptr, nullptr, 0}}}},
    {"Brisk", 66, 80.0, 0.10, 732, 688, 2.9, 0.0082, "sound", false, 0, 0,
     {{{nullptr, nullptr, 0}, {nullptr, nullptr, 0}}}},
    {"Juno", 95, 104.0, 0.09, 1180, 905, 4.0, 0.031, "doubtful", false,
     105.2, 105.65,
     {{{"gap", "450 ms without samples inside the bite", 30},
       {"edge", "gripped 14 mm outside the calibrated area", 18}}}},
};
// clang-format on

// Sleeve k plays the script so much later, with the dogs in turn.
inline constexpr double kSleeveLag = 7.0;

inline double EndOf(const ScriptedBite& b) { return b.start_s + b.hold_s; }

// Force of one bite: a half-cosine strike that sinks to the squeeze, a shake
// of 4 Hz, a release of 0.15 s. Shapes are made up.
inline double ForceOf(const ScriptedBite& b, double t_s) {
  constexpr double kPi = std::numbers::pi;
  constexpr double kRelease = 0.15;
  const double since = t_s - b.start_s;
  if (since < 0.0 || since > b.hold_s) return 0.0;
  double force = 0.0;
  if (since < b.rise_s) {
    force = b.strike_n * 0.5 * (1.0 - std::cos(kPi * since / b.rise_s));
  } else {
    const double sunk = std::exp(-(since - b.rise_s) / 0.12);
    const double grip = b.squeeze_n * (0.94 + 0.05 * std::sin(1.7 * since));
    const double shake = 0.03 * std::sin(2.0 * kPi * 4.0 * since);
    force = grip * (1.0 + shake) + (b.strike_n - grip) * sunk;
  }
  const double left = b.hold_s - since;
  return left < kRelease ? force * 0.5 * (1.0 - std::cos(kPi * left / kRelease))
                         : force;
}

inline double Force(double t_s) {
  double force = 1.6 * std::sin(211.0 * t_s) + 1.1 * std::sin(97.3 * t_s);
  for (const ScriptedBite& b : kBites) force += ForceOf(b, t_s);
  return force;
}

inline bool Missing(double t_s) {
  for (const ScriptedBite& b : kBites) {
    if (t_s >= b.gap_from_s && t_s < b.gap_to_s) return true;
  }
  return false;
}

}  // namespace masseter::replay

#endif  // MASSETER_PAGES_REPLAY_SCRIPT_H_
