// Quantities with their dimension in the type. A force over an area is a
// pressure; a force plus a pressure does not compile (tests/compile_fail).
// Values are in coherent SI units; other units appear only at the edges,
// through core/quantity/units.h.
#ifndef MASSETER_CORE_QUANTITY_QUANTITY_H_
#define MASSETER_CORE_QUANTITY_QUANTITY_H_

#include <compare>

namespace masseter {

// A quantity of dimension kg^M m^L s^T A^I, held in the coherent SI unit.
template <int M, int L, int T, int I = 0>
class Quantity {
 public:
  constexpr Quantity() = default;
  constexpr explicit Quantity(double si) : si_(si) {}

  // The value in the coherent SI unit (N, Pa, m2, kg, m, s, V).
  constexpr double si() const { return si_; }

  constexpr auto operator<=>(const Quantity&) const = default;
  constexpr Quantity operator-() const { return Quantity(-si_); }
  constexpr Quantity operator+(Quantity o) const {
    return Quantity(si_ + o.si_);
  }
  constexpr Quantity operator-(Quantity o) const {
    return Quantity(si_ - o.si_);
  }
  constexpr Quantity operator*(double k) const { return Quantity(si_ * k); }
  constexpr Quantity operator/(double k) const { return Quantity(si_ / k); }
  friend constexpr Quantity operator*(double k, Quantity q) { return q * k; }

 private:
  double si_ = 0.0;
};

template <int M1, int L1, int T1, int I1, int M2, int L2, int T2, int I2>
constexpr auto operator*(Quantity<M1, L1, T1, I1> a,
                         Quantity<M2, L2, T2, I2> b) {
  return Quantity<M1 + M2, L1 + L2, T1 + T2, I1 + I2>(a.si() * b.si());
}
template <int M1, int L1, int T1, int I1, int M2, int L2, int T2, int I2>
constexpr auto operator/(Quantity<M1, L1, T1, I1> a,
                         Quantity<M2, L2, T2, I2> b) {
  return Quantity<M1 - M2, L1 - L2, T1 - T2, I1 - I2>(a.si() / b.si());
}

using Mass = Quantity<1, 0, 0>;
using Length = Quantity<0, 1, 0>;
using Duration = Quantity<0, 0, 1>;
using Area = Quantity<0, 2, 0>;
using Volume = Quantity<0, 3, 0>;
using Density = Quantity<1, -3, 0>;
using Acceleration = Quantity<0, 1, -2>;
using Force = Quantity<1, 1, -2>;
using Impulse = Quantity<1, 1, -1>;
using Pressure = Quantity<1, -1, -2>;
using Voltage = Quantity<1, 2, -3, -1>;

}  // namespace masseter

#endif  // MASSETER_CORE_QUANTITY_QUANTITY_H_
