// xoshiro256++ 1.0 (Blackman and Vigna, ACM Trans. Math. Softw. 47 (2021) 36),
// its state filled by splitmix64 as its authors advise.
#ifndef MASSETER_CORE_BASE_XOSHIRO_H_
#define MASSETER_CORE_BASE_XOSHIRO_H_

#include <array>
#include <bit>
#include <cstdint>

namespace masseter {

class Xoshiro {
 public:
  explicit Xoshiro(std::uint64_t seed) {
    for (std::uint64_t& word : state_) {
      seed += 0x9e3779b97f4a7c15U;  // splitmix64
      std::uint64_t z = seed;
      z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9U;
      z = (z ^ (z >> 27U)) * 0x94d049bb133111ebU;
      word = z ^ (z >> 31U);
    }
  }
  explicit Xoshiro(const std::array<std::uint64_t, 4>& state) : state_(state) {}

  std::uint64_t operator()() {
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

 private:
  std::array<std::uint64_t, 4> state_{};
};

}  // namespace masseter

#endif  // MASSETER_CORE_BASE_XOSHIRO_H_
