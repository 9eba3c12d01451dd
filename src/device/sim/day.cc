#include "device/sim/day.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "device/sim/portable_math.h"

namespace masseter::sim {
namespace {

constexpr std::array<std::string_view, 4> kHandlingWords = {"put_on", "pat",
                                                            "brush", "tap"};
constexpr std::array<std::string_view, 9> kFaultWords = {
    "gap",    "restart", "sag",  "rail",       "stuck",
    "glitch", "loose",   "zero", "broken_line"};

}  // namespace

std::string_view HandlingWord(HandlingKind kind) {
  return kHandlingWords[static_cast<std::size_t>(kind)];
}

std::string_view FaultWord(FaultKind kind) {
  return kFaultWords[static_cast<std::size_t>(kind)];
}

int BiteAt(const SimDay& day, double t_s) {
  const auto after = std::upper_bound(
      day.bites.begin(), day.bites.end(), t_s,
      [](double t, const SimBite& bite) { return t < bite.start_s; });
  if (after == day.bites.begin()) return -1;
  const SimBite& bite = *(after - 1);
  if (t_s > bite.start_s + bite.shape.length_s) return -1;
  return static_cast<int>(after - day.bites.begin()) - 1;
}

double TrueForce(const SimDay& day, double t_s) {
  const int at = BiteAt(day, t_s);
  if (at < 0) return 0.0;
  const SimBite& bite = day.bites[static_cast<std::size_t>(at)];
  return ForceAt(bite.shape, t_s - bite.start_s);
}

double HandlingForce(const Handling& h, double t_s) {
  const double into = t_s - h.start_s;
  if (into <= 0.0 || into >= h.length_s) return 0.0;
  const double hump = Sin(kPi * into / h.length_s);
  switch (h.kind) {
    case HandlingKind::kPat:
    case HandlingKind::kTap:
      return h.force_n * hump;
    case HandlingKind::kBrush:  // a dog's flank along the sleeve
      return h.force_n * hump * hump *
             (0.6 + 0.4 * Sin(2.0 * kPi * 7.0 * into));
    case HandlingKind::kPutOn:  // an arm pushed in, twisting
      return h.force_n * hump * hump *
             (0.7 + 0.3 * Sin(2.0 * kPi * 2.3 * into));
  }
  return 0.0;
}

}  // namespace masseter::sim
