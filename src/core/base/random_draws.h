// Draws that are the same on every machine: an engine is, the standard's
// distributions are not. The seed comes in as an argument. A value class; one
// belongs to one thread. Not for secrets.
#ifndef MASSETER_CORE_BASE_RANDOM_DRAWS_H_
#define MASSETER_CORE_BASE_RANDOM_DRAWS_H_

#include <cmath>
#include <cstdint>
#include <random>

#include "core/base/xoshiro.h"

namespace masseter {

// From an engine of 64 random bits a call, of which the highest `kBits` make a
// uniform draw. How a third power is rounded belongs to what a seed draws.
template <class Engine, int kBits, double (*Cube)(double)>
class RandomDraws {
 public:
  explicit RandomDraws(std::uint64_t seed) : engine_(seed) {}
  explicit RandomDraws(const Engine& engine) : engine_(engine) {}

  // 64 random bits.
  std::uint64_t Next() { return engine_(); }

  // In (0, 1).
  double Uniform() {
    constexpr double kStep = 1.0 / static_cast<double>(1ULL << kBits);
    return (static_cast<double>(Next() >> (64 - kBits)) + 0.5) * kStep;
  }

  // Standard normal; Marsaglia's polar method.
  double Normal() {
    if (kept_) {
      kept_ = false;
      return spare_;
    }
    while (true) {
      const double u = 2.0 * Uniform() - 1.0;
      const double v = 2.0 * Uniform() - 1.0;
      const double s = u * u + v * v;
      if (s >= 1.0 || s <= 0.0) continue;
      const double scale = std::sqrt(-2.0 * std::log(s) / s);
      spare_ = v * scale;
      kept_ = true;
      return u * scale;
    }
  }

  // Chi-squared with `dof` > 0; Marsaglia and Tsang, ACM Trans. Math. Softw.
  // 26 (2000) 363.
  double ChiSquared(double dof) {
    const double shape = 0.5 * dof;
    if (shape < 1.0) {
      return ChiSquared(dof + 2.0) * std::pow(Uniform(), 1.0 / shape);
    }
    const double d = shape - 1.0 / 3.0;
    const double c = 1.0 / std::sqrt(9.0 * d);
    while (true) {
      const double x = Normal();
      const double root = 1.0 + c * x;
      if (root <= 0.0) continue;
      const double v = Cube(root);
      if (std::log(Uniform()) < 0.5 * x * x + d - d * v + d * std::log(v)) {
        return 2.0 * d * v;
      }
    }
  }

 private:
  Engine engine_;
  double spare_ = 0.0;
  bool kept_ = false;
};

// For what is drawn by the million.
inline double CubeByProduct(double x) { return x * x * x; }
using RandomStream = RandomDraws<Xoshiro, 52, CubeByProduct>;

// For studies and running orders.
inline double CubeByPower(double x) { return std::pow(x, 3.0); }
using RandomNumbers = RandomDraws<std::mt19937_64, 53, CubeByPower>;

}  // namespace masseter

#endif  // MASSETER_CORE_BASE_RANDOM_DRAWS_H_
