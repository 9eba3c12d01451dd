#include <array>

#include "core/bite/bite.h"

namespace masseter {

std::string_view VerdictWord(Verdict verdict) {
  static constexpr std::array<std::string_view, 3> kWords = {
      "sound", "doubtful", "void"};
  return kWords[static_cast<std::size_t>(verdict)];
}

std::string_view ReasonWord(ReasonCode code) {
  static constexpr std::array<std::string_view, 18> kWords = {
      "gap",    "restart",      "sag",   "rail",  "overload", "stuck",
      "glitch", "loose",        "zero",  "slow",  "edge",     "odd",
      "motion", "uncalibrated", "stale", "place", "clock",    "withdrawn"};
  return kWords[static_cast<std::size_t>(code)];
}

}  // namespace masseter
