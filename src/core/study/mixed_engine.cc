#include "core/study/mixed_engine.h"

#include <Eigen/Cholesky>
#include <cmath>
#include <limits>
#include <numbers>

namespace masseter {
namespace {

constexpr double kLog2Pi = 1.8378770664093454836;

}  // namespace

MixedEngine::MixedEngine(const MixedData& data) {
  const auto n = static_cast<Eigen::Index>(data.values());
  const auto p = static_cast<Eigen::Index>(data.columns());
  y_ = Eigen::Map<const Eigen::VectorXd>(data.y.data(), n);
  y_mean_ = y_[0] + (y_.array() - y_[0]).mean();
  y_.array() -= y_mean_;
  x_.resize(n, p);
  mean_ = Eigen::VectorXd::Zero(p);
  scale_ = Eigen::VectorXd::Ones(p);
  for (Eigen::Index k = 0; k < p; ++k) {
    x_.col(k) = Eigen::Map<const Eigen::VectorXd>(
        data.x[static_cast<std::size_t>(k)].data(), n);
    if (k == 0) continue;
    mean_[k] = x_.col(k).mean();
    x_.col(k).array() -= mean_[k];
    scale_[k] = x_.col(k).norm() / std::sqrt(static_cast<double>(n));
    if (!(scale_[k] > 0.0)) scale_[k] = 1.0;
    x_.col(k) /= scale_[k];
    log_det_scale_ += 2.0 * std::log(scale_[k]);
  }
}

Eigen::MatrixXd MixedEngine::CoefficientCov() const {
  const Eigen::Index p = x_.cols();
  // b = T b_c with T from the centring.
  Eigen::MatrixXd t = Eigen::MatrixXd::Zero(p, p);
  t(0, 0) = 1.0;
  for (Eigen::Index k = 1; k < p; ++k) {
    t(k, k) = 1.0 / scale_[k];
    t(0, k) = -mean_[k] / scale_[k];
  }
  const Eigen::MatrixXd half =
      chol_x_.triangularView<Eigen::Lower>().solve(t.transpose());
  return half.transpose() * half;
}

std::vector<double> MixedEngine::Coefficients(const MixedPoint& point) const {
  std::vector<double> out(columns());
  out[0] = y_mean_ + point.beta[0];
  for (std::size_t k = 1; k < out.size(); ++k) {
    const auto at = static_cast<Eigen::Index>(k);
    out[k] = point.beta[at] / scale_[at];
    out[0] -= out[k] * mean_[at];
  }
  return out;
}

std::unique_ptr<MixedEngine> MakeMixedEngine(const MixedData& data) {
  return data.random.size() == 1 ? MakeGroupEngine(data)
                                 : MakeSparseEngine(data);
}

MixedDeviance::MixedDeviance(const MixedData& data, Likelihood likelihood)
    : data_(data), likelihood_(likelihood), engine_(MakeMixedEngine(data)) {}

double MixedDeviance::At(std::span<const double> sds) {
  ++evaluations_;
  const double s = std::abs(sds[0]);
  theta_.assign(sds.begin() + 1, sds.end());
  scale2_ = s * s;
  if (data_.HasKnownSd()) {
    Eigen::VectorXd w(static_cast<Eigen::Index>(data_.values()));
    for (std::size_t i = 0; i < data_.values(); ++i) {
      w[static_cast<Eigen::Index>(i)] =
          1.0 / (s * s + data_.known_sd[i] * data_.known_sd[i]);
    }
    engine_->SetWeights(w);
    scale2_ = 1.0;
  } else {
    for (double& t : theta_) t /= s;
  }
  point_ = engine_->At(theta_);
  const bool restricted = likelihood_ == Likelihood::kRestricted;
  const double dof = static_cast<double>(
      restricted ? engine_->values() - engine_->columns() : engine_->values());
  return point_.log_det_v + (restricted ? point_.log_det_x : 0.0) +
         dof * (kLog2Pi + std::log(scale2_)) + point_.rss / scale2_;
}

Eigen::MatrixXd MixedDeviance::CoefficientCov() const {
  return scale2_ * engine_->CoefficientCov();
}

double MixedDeviance::Profiled(std::span<const double> theta, double* sd) {
  ++evaluations_;
  theta_.assign(theta.begin(), theta.end());
  point_ = engine_->At(theta_);
  const bool restricted = likelihood_ == Likelihood::kRestricted;
  const double dof = static_cast<double>(
      restricted ? engine_->values() - engine_->columns() : engine_->values());
  scale2_ = point_.rss / dof;
  *sd = std::sqrt(scale2_);
  if (!(scale2_ > 0.0)) return std::numeric_limits<double>::infinity();
  return point_.log_det_v + (restricted ? point_.log_det_x : 0.0) +
         dof * (1.0 + kLog2Pi + std::log(scale2_));
}

}  // namespace masseter
