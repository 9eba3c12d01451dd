#include "device/sim/portable_math.h"

#include <cmath>

namespace masseter::sim {
namespace {

// pi/2 and ln 2 in parts whose product with a small integer is exact.
constexpr double kHalfPi1 = 1.57079632673412561417e+00;
constexpr double kHalfPi2 = 6.07710050630396597660e-11;
constexpr double kHalfPi3 = 2.02226624879595063154e-21;
constexpr double kLn2Hi = 6.93147180369123816490e-01;
constexpr double kLn2Lo = 1.90821492927058770002e-10;
constexpr double kTwoOverPi = 0.63661977236758134308;
constexpr double kOneOverLn2 = 1.44269504088896340736;
constexpr double kHalfSqrt2 = 0.70710678118654752440;

// Taylor series on |r| <= pi/4; the first term left out is below 1e-19.
double SinSeries(double r) {
  const double r2 = r * r;
  double sum = 1.0;
  for (int k = 17; k >= 3; k -= 2) sum = 1.0 - r2 / (k * (k - 1)) * sum;
  return r * sum;
}

double CosSeries(double r) {
  const double r2 = r * r;
  double sum = 1.0;
  for (int k = 18; k >= 2; k -= 2) sum = 1.0 - r2 / (k * (k - 1)) * sum;
  return sum;
}

// sin(x + quarter * pi/2).
double Turned(double x, int quarter) {
  const double k = std::floor(x * kTwoOverPi + 0.5);
  const double r = ((x - k * kHalfPi1) - k * kHalfPi2) - k * kHalfPi3;
  const double turns = k - 4.0 * std::floor(k / 4.0);
  switch ((static_cast<int>(turns) + quarter) % 4) {
    case 0:
      return SinSeries(r);
    case 1:
      return CosSeries(r);
    case 2:
      return -SinSeries(r);
    default:
      return -CosSeries(r);
  }
}

}  // namespace

double Sin(double x) { return Turned(x, 0); }
double Cos(double x) { return Turned(x, 1); }

double Exp(double x) {
  if (x < -700.0) return 0.0;
  const double k = std::floor(x * kOneOverLn2 + 0.5);
  const double r = (x - k * kLn2Hi) - k * kLn2Lo;
  double sum = 1.0;
  for (int n = 16; n >= 1; --n) sum = 1.0 + r / n * sum;
  return std::ldexp(sum, static_cast<int>(k));
}

double Log(double x) {
  int exponent = 0;
  double m = std::frexp(x, &exponent);  // m in [0.5, 1)
  if (m < kHalfSqrt2) {
    m *= 2.0;
    --exponent;
  }
  // ln m = 2 artanh s with |s| <= 0.172.
  const double s = (m - 1.0) / (m + 1.0);
  const double s2 = s * s;
  double sum = 0.0;
  for (int n = 25; n >= 1; n -= 2) sum = sum * s2 + 1.0 / n;
  return (exponent * kLn2Lo + 2.0 * s * sum) + exponent * kLn2Hi;
}

}  // namespace masseter::sim
