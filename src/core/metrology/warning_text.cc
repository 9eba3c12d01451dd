#include "core/metrology/warning_text.h"

#include <cmath>
#include <cstdint>

namespace masseter {
namespace {

// Digits of a number that is `decimals` places long after the point.
std::string Fixed(double value, int decimals) {
  std::int64_t scale = 1;
  for (int k = 0; k < decimals; ++k) scale *= 10;
  const std::int64_t n =
      std::llround(std::abs(value) * static_cast<double>(scale));
  std::string out = value < 0.0 && n != 0 ? "-" : "";
  out += std::to_string(n / scale);
  if (decimals == 0) return out;
  std::string part = std::to_string(n % scale);
  part.insert(0, static_cast<std::size_t>(decimals) - part.size(), '0');
  return out + "." + part;
}

}  // namespace

std::string Percent(double relative) {
  const double percent = 100.0 * relative;
  const double size = std::abs(percent);
  return Fixed(percent, size >= 9.95 ? 0 : size >= 0.995 ? 1 : 2) + " %";
}

std::string Newtons(double force_n) { return Fixed(force_n, 0) + " N"; }

std::string Factor(double value) {
  const double size = std::abs(value);
  if (value == std::round(value) || size >= 99.5) return Fixed(value, 0);
  return Fixed(value, size >= 0.995 ? 1 : size >= 0.0995 ? 2 : 3);
}

std::string Lines(const std::vector<int>& lines) {
  std::string out;
  for (std::size_t i = 0; i < lines.size() && i < 8; ++i) {
    out += (i == 0 ? "" : ", ") + std::to_string(lines[i]);
  }
  return lines.size() > 8 ? out + ", …" : out;
}

std::string Joined(const std::vector<std::string>& words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? " and " : ", ";
    out += words[i];
  }
  return out;
}

}  // namespace masseter
