#include "core/trust/words.h"

#include <cmath>

namespace masseter {
namespace {

// Whole numbers from 10 up, one decimal from 1 up, two below.
std::string Short(double value) {
  const std::string sign = value < 0.0 ? "-" : "";
  const double magnitude = std::abs(value);
  if (magnitude >= 9.95) return sign + std::to_string(std::lround(magnitude));
  const int scale = magnitude >= 0.995 ? 10 : 100;
  const auto n = std::lround(magnitude * scale);
  std::string digits = std::to_string(n % scale);
  while (digits.size() < (scale == 10 ? 1u : 2u)) digits.insert(0, "0");
  return sign + std::to_string(n / scale) + "." + digits;
}

}  // namespace

std::string InNewtons(double force_n) { return Short(force_n) + " N"; }

std::string InMilliseconds(double seconds) {
  if (seconds >= 0.9995) return Short(seconds) + " s";
  return Short(seconds * 1000.0) + " ms";
}

std::string InGravities(double g) { return Short(g) + " g"; }

std::string InPercent(double relative) {
  return Short(relative * 100.0) + " %";
}

std::string InMillimetres(double mm) {
  return std::to_string(std::lround(mm)) + " mm";
}

}  // namespace masseter
