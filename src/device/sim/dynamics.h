// Small linear systems stepped exactly: for an input that stands still over
// one step their answers carry no integration error. One object, one thread.
#ifndef MASSETER_DEVICE_SIM_DYNAMICS_H_
#define MASSETER_DEVICE_SIM_DYNAMICS_H_

namespace masseter::sim {

// tau y' + y = u.
class FirstOrder {
 public:
  FirstOrder() = default;
  FirstOrder(double tau_s, double step_s);
  double Step(double input) {
    value_ += gain_ * (input - value_);
    return value_;
  }
  double value() const { return value_; }
  void Reset(double value) { value_ = value; }

 private:
  double gain_ = 1.0;
  double value_ = 0.0;
};

// y'' + 2 zeta w y' + w^2 y = w^2 u with w = 2 pi f, 0 < zeta < 1: a mass on a
// damped spring, where f = sqrt(k/m) / (2 pi); with zeta = 1/sqrt(2) a
// Butterworth low-pass that is 3 dB down at f.
class SecondOrder {
 public:
  SecondOrder() = default;
  SecondOrder(double frequency_hz, double damping_ratio, double step_s);
  double Step(double input) {
    const double e = value_ - input;
    value_ = input + a11_ * e + a12_ * rate_;
    rate_ = a21_ * e + a22_ * rate_;
    return value_;
  }
  double value() const { return value_; }

 private:
  double a11_ = 0.0;
  double a12_ = 0.0;
  double a21_ = 0.0;
  double a22_ = 0.0;
  double value_ = 0.0;
  double rate_ = 0.0;
};

// Play: the output follows the input only when it has run ahead by `width`,
// the elementary part of a hysteresis loop (Prandtl's model).
class Play {
 public:
  Play() = default;
  explicit Play(double width) : width_(width) {}
  double Step(double input) {
    if (value_ < input - width_) value_ = input - width_;
    if (value_ > input + width_) value_ = input + width_;
    return value_;
  }

 private:
  double width_ = 0.0;
  double value_ = 0.0;
};

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_DYNAMICS_H_
