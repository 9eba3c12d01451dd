// What the mixed model's search asks again and again: given the ratios theta,
// the determinants, the coefficients and the weighted sum of squares. Internal
// to the study folder; see mixed_model.h for the model.
//
// Values and columns are centred inside, and columns scaled, so that large
// means cost no digits; what goes out is in the caller's terms.
#ifndef MASSETER_CORE_STUDY_MIXED_ENGINE_H_
#define MASSETER_CORE_STUDY_MIXED_ENGINE_H_

#include <Eigen/Core>
#include <memory>
#include <span>
#include <vector>

#include "core/study/mixed_model.h"

namespace masseter {

// At one theta, with V the covariance over s^2 (or, with weights other than
// one, the covariance itself).
struct MixedPoint {
  double log_det_v = 0.0;
  double log_det_x = 0.0;  // of X' V^-1 X
  double rss = 0.0;        // (y - X b)' V^-1 (y - X b)
  Eigen::VectorXd beta;    // of the centred columns
};

class MixedEngine {
 public:
  virtual ~MixedEngine() = default;
  MixedEngine(const MixedEngine&) = delete;
  MixedEngine& operator=(const MixedEngine&) = delete;

  // 1 / variance of every value's scatter (or over s^2); ones at first.
  virtual void SetWeights(const Eigen::VectorXd& weights) = 0;
  virtual MixedPoint At(std::span<const double> theta) = 0;
  // Effects at the theta of the last At, in units of y.
  virtual std::vector<std::vector<double>> Effects(
      std::span<const double> theta, const MixedPoint& point) = 0;
  // (X' V^-1 X)^-1 at the last At, for the caller's columns.
  Eigen::MatrixXd CoefficientCov() const;
  std::vector<double> Coefficients(const MixedPoint& point) const;

  std::size_t values() const { return static_cast<std::size_t>(y_.size()); }
  std::size_t columns() const { return static_cast<std::size_t>(x_.cols()); }

 protected:
  explicit MixedEngine(const MixedData& data);

  Eigen::MatrixXd x_;       // centred and scaled, the first column ones
  Eigen::VectorXd y_;       // centred
  Eigen::MatrixXd chol_x_;  // lower factor of X' V^-1 X, of the last At
  double log_det_scale_ = 0.0;

 private:
  Eigen::VectorXd mean_;
  Eigen::VectorXd scale_;
  double y_mean_ = 0.0;
};

std::unique_ptr<MixedEngine> MakeGroupEngine(const MixedData& data);
std::unique_ptr<MixedEngine> MakeSparseEngine(const MixedData& data);
// By the number of random factors.
std::unique_ptr<MixedEngine> MakeMixedEngine(const MixedData& data);

// The criterion and what belongs to it at standard deviations (s, s_1, ...),
// nothing profiled out.
class MixedDeviance {
 public:
  MixedDeviance(const MixedData& data, Likelihood likelihood);

  double At(std::span<const double> sds);
  // Covariance of the coefficients at the sds of the last At.
  Eigen::MatrixXd CoefficientCov() const;
  // With s profiled out (no known standard deviations); gives s too.
  double Profiled(std::span<const double> theta, double* sd);

  MixedEngine& engine() { return *engine_; }
  const MixedPoint& point() const { return point_; }
  std::span<const double> theta() const { return theta_; }
  std::size_t evaluations() const { return evaluations_; }

 private:
  const MixedData& data_;
  Likelihood likelihood_;
  std::unique_ptr<MixedEngine> engine_;
  MixedPoint point_;
  std::vector<double> theta_;
  double scale2_ = 1.0;
  std::size_t evaluations_ = 0;
};

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_MIXED_ENGINE_H_
