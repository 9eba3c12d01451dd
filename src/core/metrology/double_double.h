// Arithmetic with about 32 significant digits: an unevaluated sum of two
// doubles (Dekker, Numer. Math. 18 (1971) 224; Ogita, Rump and Oishi, SIAM J.
// Sci. Comput. 26 (2005) 1955). The certified calibration sets lose up to 15
// digits in a fit; starting with 32 leaves a whole double.
//
// Needs round-to-nearest and no contraction (-ffp-contract=off, set for every
// target). Finite values only, magnitudes below 2^996. Values; no thread rule.
#ifndef MASSETER_CORE_METROLOGY_DOUBLE_DOUBLE_H_
#define MASSETER_CORE_METROLOGY_DOUBLE_DOUBLE_H_

namespace masseter {

class DoubleDouble {
 public:
  constexpr DoubleDouble() = default;
  constexpr DoubleDouble(double value) : hi_(value) {}  // implicit on purpose

  // The nearest double.
  constexpr double value() const { return hi_ + lo_; }

  constexpr DoubleDouble operator-() const { return Raw(-hi_, -lo_); }

  friend constexpr DoubleDouble operator+(DoubleDouble a, DoubleDouble b) {
    const DoubleDouble s = TwoSum(a.hi_, b.hi_);
    const DoubleDouble t = TwoSum(a.lo_, b.lo_);
    const DoubleDouble u = QuickTwoSum(s.hi_, s.lo_ + t.hi_);
    return QuickTwoSum(u.hi_, u.lo_ + t.lo_);
  }
  friend constexpr DoubleDouble operator-(DoubleDouble a, DoubleDouble b) {
    return a + (-b);
  }
  friend constexpr DoubleDouble operator*(DoubleDouble a, DoubleDouble b) {
    const DoubleDouble p = Product(a.hi_, b.hi_);
    return QuickTwoSum(p.hi_, p.lo_ + (a.hi_ * b.lo_ + a.lo_ * b.hi_));
  }
  friend constexpr DoubleDouble operator/(DoubleDouble a, DoubleDouble b) {
    const double q1 = a.hi_ / b.hi_;
    DoubleDouble rest = a - b * DoubleDouble(q1);
    const double q2 = rest.hi_ / b.hi_;
    rest = rest - b * DoubleDouble(q2);
    const double q3 = rest.hi_ / b.hi_;
    return QuickTwoSum(q1, q2) + DoubleDouble(q3);
  }
  constexpr DoubleDouble& operator+=(DoubleDouble b) {
    return *this = *this + b;
  }
  constexpr DoubleDouble& operator-=(DoubleDouble b) {
    return *this = *this - b;
  }

  // The exact product of two doubles.
  static constexpr DoubleDouble Product(double a, double b) {
    const DoubleDouble as = Split(a);
    const DoubleDouble bs = Split(b);
    const double p = a * b;
    const double e =
        ((as.hi_ * bs.hi_ - p) + as.hi_ * bs.lo_ + as.lo_ * bs.hi_) +
        as.lo_ * bs.lo_;
    return Raw(p, e);
  }

 private:
  static constexpr DoubleDouble Raw(double hi, double lo) {
    DoubleDouble r;
    r.hi_ = hi;
    r.lo_ = lo;
    return r;
  }
  static constexpr DoubleDouble TwoSum(double a, double b) {
    const double s = a + b;
    const double bb = s - a;
    return Raw(s, (a - (s - bb)) + (b - bb));
  }
  // Exact when |a| >= |b|.
  static constexpr DoubleDouble QuickTwoSum(double a, double b) {
    const double s = a + b;
    return Raw(s, b - (s - a));
  }
  // Veltkamp's split into two halves of 26 bits.
  static constexpr DoubleDouble Split(double a) {
    const double c = 134217729.0 * a;  // 2^27 + 1
    const double hi = c - (c - a);
    return Raw(hi, a - hi);
  }

  double hi_ = 0.0;
  double lo_ = 0.0;
};

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_DOUBLE_DOUBLE_H_
