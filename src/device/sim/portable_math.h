// Sine, cosine, exponential and logarithm built from +, -, *, / and exact
// scaling only. IEEE 754 fixes those to the last bit and leaves the library
// functions free, so the simulator uses these and gives the same bytes on
// every machine. Range reduction after Cody and Waite (Software Manual for
// the Elementary Functions, 1980) with the split constants of fdlibm, then
// plain series. Pure functions, safe from any thread.
#ifndef MASSETER_DEVICE_SIM_PORTABLE_MATH_H_
#define MASSETER_DEVICE_SIM_PORTABLE_MATH_H_

namespace masseter::sim {

inline constexpr double kPi = 3.14159265358979323846;

// Error below 1e-15 for |x| < 1e5 rad; larger arguments lose digits.
double Sin(double x);
double Cos(double x);

// Relative error below 1e-15; 0 below x = -700, x must be below 700.
double Exp(double x);

// Natural logarithm of x > 0, relative error below 1e-15 away from x = 1 and
// absolute error below 1e-16 near it.
double Log(double x);

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_PORTABLE_MATH_H_
