// Normal and chi-squared draws that are the same on every machine: the
// standard's engine is, its distributions are not. A value class; one belongs
// to one thread. The seed comes in as an argument.
#ifndef MASSETER_CORE_STUDY_RANDOM_NUMBERS_H_
#define MASSETER_CORE_STUDY_RANDOM_NUMBERS_H_

#include <cmath>
#include <cstdint>
#include <random>

namespace masseter {

class RandomNumbers {
 public:
  explicit RandomNumbers(std::uint64_t seed) : engine_(seed) {}

  // In (0, 1).
  double Uniform() {
    return (static_cast<double>(engine_() >> 11U) + 0.5) * 0x1.0p-53;
  }

  // Marsaglia's polar method.
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

  // Marsaglia and Tsang, ACM Trans. Math. Softw. 26 (2000) 363; `dof` > 0.
  double ChiSquared(double dof) {
    const double shape = dof / 2.0;
    if (shape < 1.0) {
      return ChiSquared(dof + 2.0) * std::pow(Uniform(), 1.0 / shape);
    }
    const double d = shape - 1.0 / 3.0;
    const double c = 1.0 / std::sqrt(9.0 * d);
    while (true) {
      const double x = Normal();
      const double v = std::pow(1.0 + c * x, 3.0);
      if (v <= 0.0) continue;
      if (std::log(Uniform()) < 0.5 * x * x + d - d * v + d * std::log(v)) {
        return 2.0 * d * v;
      }
    }
  }

 private:
  std::mt19937_64 engine_;
  double spare_ = 0.0;
  bool kept_ = false;
};

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_RANDOM_NUMBERS_H_
