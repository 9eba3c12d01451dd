#include "core/bite/inertia.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <algorithm>
#include <cmath>

namespace masseter {
namespace {

constexpr double kStandardGravity = 9.80665;  // m/s^2, NIST SP 811
constexpr double kUnknownMassKg = 1.0;        // common practice
// Neighbouring frames are not independent: a swing lasts a fifth of a second
// and more, ten frames.
constexpr double kFramesOfASwing = 10.0;
constexpr double kLeastFrames = 2.0 * kFramesOfASwing;

Eigen::Vector3d AsVector(const AxesG& a) {
  return Eigen::Vector3d(a[0], a[1], a[2]);
}

Eigen::Matrix3d AsMatrix(const std::array<std::array<double, 3>, 3>& m) {
  Eigen::Matrix3d out;
  for (int i = 0; i < 3; ++i) {
    for (int j = 0; j < 3; ++j) {
      out(i, j) = m[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
    }
  }
  return out;
}

AxesG Off(const AxesG& a, const AxesG& rest) {
  return {a[0] - rest[0], a[1] - rest[1], a[2] - rest[2]};
}

}  // namespace

double Inertia::Force(const AxesG& a) const {
  const AxesG d = Off(a, rest);
  return n_per_g[0] * d[0] + n_per_g[1] * d[1] + n_per_g[2] * d[2];
}

double Inertia::StandardUncertainty(const AxesG& a) const {
  const Eigen::Vector3d d = AsVector(Off(a, rest));
  return std::sqrt(std::max(d.dot(AsMatrix(covariance) * d), 0.0));
}

InertiaFit::InertiaFit(std::optional<double> moving_mass_kg)
    : prior_n_per_g_(kStandardGravity *
                     moving_mass_kg.value_or(kUnknownMassKg)) {}

void InertiaFit::Push(const AxesG& a, double force_n, double frame_noise_n) {
  noise_n_ = frame_noise_n;
  const double moved = n_ > 0.0 ? AsVector(Off(a, mean_a_)).norm() : 0.0;
  const double most = 2.0 * prior_n_per_g_ * moved + 6.0 * frame_noise_n;
  if (std::abs(force_n) > most) return;
  n_ += 1.0;
  // Welford's update: no difference of large sums.
  const AxesG before = Off(a, mean_a_);
  const double f_before = force_n - mean_f_;
  for (std::size_t i = 0; i < 3; ++i) mean_a_[i] += before[i] / n_;
  mean_f_ += f_before / n_;
  const AxesG after = Off(a, mean_a_);
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) aa_[i][j] += before[i] * after[j];
    af_[i] += after[i] * f_before;
  }
  ff_ += f_before * (force_n - mean_f_);
}

std::optional<Inertia> InertiaFit::Fit(const std::optional<AxesG>& rest) const {
  if (n_ == 0.0) return std::nullopt;
  Inertia out;
  out.rest = rest.value_or(mean_a_);
  const Eigen::Matrix3d aa = AsMatrix(aa_);
  const Eigen::Vector3d af = AsVector(af_);
  const double known = 1.0 / (prior_n_per_g_ * prior_n_per_g_);
  const double floor = std::max(noise_n_ * noise_n_, 1e-12);
  double scatter = std::max(ff_ / n_, floor);
  Eigen::Vector3d k = Eigen::Vector3d::Zero();
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Identity() / known;
  // The scatter around the fit, which weighs the frames against the prior, is
  // known after the fit: twice is enough.
  for (int pass = 0; n_ >= kLeastFrames && pass < 3; ++pass) {
    const double weight = 1.0 / (scatter * kFramesOfASwing);
    const Eigen::Matrix3d precision =
        aa * weight + known * Eigen::Matrix3d::Identity();
    const Eigen::LLT<Eigen::Matrix3d> cholesky(precision);
    covariance = cholesky.solve(Eigen::Matrix3d::Identity());
    k = cholesky.solve(af * weight);
    const double left = ff_ - 2.0 * k.dot(af) + k.dot(aa * k);
    scatter = std::max(left / (n_ - 4.0), floor);
  }
  for (int i = 0; i < 3; ++i) {
    const auto row = static_cast<std::size_t>(i);
    out.n_per_g[row] = k(i);
    for (int j = 0; j < 3; ++j) {
      out.covariance[row][static_cast<std::size_t>(j)] = covariance(i, j);
    }
  }
  return out;
}

}  // namespace masseter
