// Random draws that are the same on every machine: xoshiro256++ 1.0 (Blackman
// and Vigna, ACM Trans. Math. Softw. 47 (2021) 36), its state filled by
// splitmix64 as its authors advise. The seed comes in as an argument. A value
// class; one belongs to one thread. Not for secrets.
#ifndef MASSETER_CORE_BASE_RANDOM_STREAM_H_
#define MASSETER_CORE_BASE_RANDOM_STREAM_H_

#include <array>
#include <bit>
#include <cmath>
#include <cstdint>

namespace masseter {

class RandomStream {
 public:
  explicit RandomStream(std::uint64_t seed) {
    for (std::uint64_t& word : state_) {
      seed += 0x9e3779b97f4a7c15U;  // splitmix64
      std::uint64_t z = seed;
      z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
      z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
      word = z ^ (z >> 31U);
    }
  }
  explicit RandomStream(const std::array<std::uint64_t, 4>& state)
      : state_(state) {}

  std::uint64_t Next() {
    auto& s = state_;
    const std::uint64_t result = std::rotl(s[0] + s[3], 23) + s[0];
    const std::uint64_t t = s[1] << 17U;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = std::rotl(s[3], 45);
    return result;
  }

  // In (0, 1), both ends left out.
  double Uniform() {
    return (static_cast<double>(Next() >> 12U) + 0.5) * 0x1.0p-52;
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
      const double v = root * root * root;
      if (std::log(Uniform()) < 0.5 * x * x + d - d * v + d * std::log(v)) {
        return 2.0 * d * v;
      }
    }
  }

 private:
  std::array<std::uint64_t, 4> state_{};
  double spare_ = 0.0;
  bool kept_ = false;
};

}  // namespace masseter

#endif  // MASSETER_CORE_BASE_RANDOM_STREAM_H_
