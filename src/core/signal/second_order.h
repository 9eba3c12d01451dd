// What a mass on a damped spring does to a force that passes through it: the
// sleeve's shell and plate on its cells.
//
//   y'' + 2 zeta w y' + w^2 y = w^2 u,  w = 2 pi f_n
//   gain at f:  G(r) = 1 / sqrt((1 - r^2)^2 + (2 zeta r)^2),  r = f / f_n  (1)
//
// (any textbook of vibrations). Pure functions; safe from several threads.
#ifndef MASSETER_CORE_SIGNAL_SECOND_ORDER_H_
#define MASSETER_CORE_SIGNAL_SECOND_ORDER_H_

namespace masseter {

// A measured system: undamped natural frequency and damping ratio (0 to 1)
// with their standard uncertainties.
struct SecondOrder {
  double natural_hz = 0.0;
  double damping = 0.0;
  double natural_u_hz = 0.0;
  double damping_u = 0.0;
};

// Equation (1), and how far it is from 1.
double AmplitudeGain(const SecondOrder& system, double frequency_hz);
double AmplitudeError(const SecondOrder& system, double frequency_hz);

// The frequency up to which the amplitude is right within `tolerance`
// (0 to 1, excluded): the lowest root of G = 1 +- tolerance.
double FlatBand(const SecondOrder& system, double tolerance);

// The most that is left ringing after a force that rises in a straight line
// from 10 % to 90 % within `rise_s`, relative to the force: with the whole
// ramp T = rise / 0.8,
//   (1 + exp(-zeta w T)) / (w_d T),  w_d = w sqrt(1 - zeta^2)            (2)
// but not more than the overshoot of a step, exp(-pi zeta / sqrt(1-zeta^2)).
// A real bite's rise has no corners and excites less.
double RingAfterRise(const SecondOrder& system, double rise_s);

// What the crest of a half-sine of `width_s` is off by while the system
// follows it: the amplitude error at 1 / (2 width).
double CrestError(const SecondOrder& system, double width_s);

// The system with its natural frequency lower and its damping less by two
// standard uncertainties each: the worse of what was measured.
SecondOrder WorseOf(const SecondOrder& system);

}  // namespace masseter

#endif  // MASSETER_CORE_SIGNAL_SECOND_ORDER_H_
