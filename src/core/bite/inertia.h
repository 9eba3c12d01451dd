// What the sleeve's own motion adds to its signals. The cells carry the plate
// and the cover between the teeth and themselves; when the helper swings the
// arm, that mass pushes on the cells although nothing bites:
//
//   F_seen = F + k . (a - a_rest)
//
// with the accelerometer's three axes a in g, their reading a_rest where the
// zero was taken, and k in newtons a g: the moving mass's weight along the
// direction that the cells measure. k is learnt from the swings between bites,
// when F is zero (Newton's second law; linear least squares with a prior).
#ifndef MASSETER_CORE_BITE_INERTIA_H_
#define MASSETER_CORE_BITE_INERTIA_H_

#include <array>
#include <cstddef>
#include <optional>

namespace masseter {

using AxesG = std::array<double, 3>;  // g; 0 on axes that do not exist

// The fitted motion term around one bite.
struct Inertia {
  AxesG n_per_g{};                                    // k
  std::array<std::array<double, 3>, 3> covariance{};  // of k, N^2 a g^2
  AxesG rest{};

  // Force that motion adds at `a`, newtons, and its standard uncertainty.
  double Force(const AxesG& a) const;
  double StandardUncertainty(const AxesG& a) const;
};

// Learns k from frames in which nobody bites. Memory: a few sums.
class InertiaFit {
 public:
  // `moving_mass_kg`: what the rig file says, else nullopt: then up to a
  // kilogram is thought possible. It is the prior: standard deviation of k on
  // each axis before any swing was seen.
  explicit InertiaFit(std::optional<double> moving_mass_kg);

  // A frame's mean acceleration and its mean force above the zero, newtons.
  // Frames with more force than motion can give are hands, and left out.
  void Push(const AxesG& a, double force_n, double frame_noise_n);

  // What is known by now; `rest` from the zero before the bite, else the mean
  // of all frames. nullopt before the first frame.
  std::optional<Inertia> Fit(const std::optional<AxesG>& rest) const;

 private:
  double prior_n_per_g_;
  double n_ = 0.0;
  double noise_n_ = 0.0;
  AxesG mean_a_{};
  double mean_f_ = 0.0;
  std::array<std::array<double, 3>, 3> aa_{};  // centred sums of products
  AxesG af_{};
  double ff_ = 0.0;
};

}  // namespace masseter

#endif  // MASSETER_CORE_BITE_INERTIA_H_
