// Random numbers that are the same on every machine: the standard library
// fixes its engines but not its distributions, so both are written here.
//
// Generator: PCG-XSH-RR 64/32 (M. E. O'Neill, "PCG: A Family of Simple Fast
// Space-Efficient Statistically Good Algorithms for Random Number Generation",
// 2014). Normal deviates: the polar method (Marsaglia and Bray, SIAM Review 6,
// 1964). One object belongs to one thread.
#ifndef MASSETER_DEVICE_SIM_RANDOM_H_
#define MASSETER_DEVICE_SIM_RANDOM_H_

#include <cstdint>

namespace masseter::sim {

class Random {
 public:
  // Equal (seed, stream) give equal sequences; different streams of one seed
  // are independent of each other.
  Random(std::uint64_t seed, std::uint64_t stream);

  std::uint32_t Next();                // uniform over all 32-bit words
  double Uniform();                    // [0, 1), 32 bits fine
  double Uniform(double a, double b);  // [a, b)
  double Normal();                     // mean 0, standard deviation 1
  // exp(ln median + sigma z): `sigma` is the standard deviation of the log.
  double LogNormal(double median, double sigma);
  // True with this probability.
  bool Chance(double probability) { return Uniform() < probability; }
  // Uniform over 0 .. n-1.
  int Below(int n);

 private:
  std::uint64_t state_ = 0;
  std::uint64_t increment_ = 0;
  bool has_spare_ = false;
  double spare_ = 0.0;
};

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_RANDOM_H_
