#include "device/sim/random.h"

#include <bit>
#include <cmath>

#include "device/sim/portable_math.h"

namespace masseter::sim {

Random::Random(std::uint64_t seed, std::uint64_t stream)
    : increment_((stream << 1U) | 1U) {
  Next();
  state_ += seed;
  Next();
}

std::uint32_t Random::Next() {
  const std::uint64_t old = state_;
  state_ = old * 6364136223846793005ULL + increment_;
  const auto word = static_cast<std::uint32_t>(((old >> 18U) ^ old) >> 27U);
  return std::rotr(word, static_cast<int>(old >> 59U));
}

double Random::Uniform() { return Next() * 0x1p-32; }

double Random::Uniform(double a, double b) { return a + (b - a) * Uniform(); }

double Random::Normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  double u = 0.0;
  double v = 0.0;
  double s = 0.0;
  do {
    u = 2.0 * Uniform() - 1.0;
    v = 2.0 * Uniform() - 1.0;
    s = u * u + v * v;
  } while (s >= 1.0 || s == 0.0);
  const double scale = std::sqrt(-2.0 * Log(s) / s);
  spare_ = v * scale;
  has_spare_ = true;
  return u * scale;
}

double Random::LogNormal(double median, double sigma) {
  return median * Exp(sigma * Normal());
}

int Random::Below(int n) {
  return static_cast<int>(
      (static_cast<std::uint64_t>(Next()) * static_cast<std::uint64_t>(n)) >>
      32U);
}

}  // namespace masseter::sim
