#include "core/study/mixed_groups.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <map>

namespace masseter {
namespace {

Eigen::Index Index(std::size_t i) { return static_cast<Eigen::Index>(i); }

}  // namespace

GroupEngine::GroupEngine(const MixedData& data)
    : MixedEngine(data),
      level_(data.random[0].level),
      levels_(data.random[0].levels) {
  SetWeights(Eigen::VectorXd::Ones(y_.size()));
}

void GroupEngine::SetWeights(const Eigen::VectorXd& w) {
  const Eigen::Index p = x_.cols();
  log_weights_ = w.array().log().sum();
  sum_ = Eigen::VectorXd::Zero(Index(levels_));
  Eigen::MatrixXd mean = Eigen::MatrixXd::Zero(p + 1, Index(levels_));
  // One row of [X y] a column, so that the loops run along memory.
  Eigen::MatrixXd rows(p + 1, x_.rows());
  rows.topRows(p) = x_.transpose();
  rows.row(p) = y_.transpose();
  for (Eigen::Index i = 0; i < y_.size(); ++i) {
    const Eigen::Index j = Index(level_[static_cast<std::size_t>(i)]);
    sum_[j] += w[i];
    mean.col(j) += w[i] * rows.col(i);
  }
  for (Eigen::Index j = 0; j < mean.cols(); ++j) mean.col(j) /= sum_[j];
  within_ = Eigen::MatrixXd::Zero(p + 1, p + 1);
  for (Eigen::Index i = 0; i < y_.size(); ++i) {
    const Eigen::Index j = Index(level_[static_cast<std::size_t>(i)]);
    rows.col(i) -= mean.col(j);
    rows.col(i) *= std::sqrt(w[i]);
  }
  within_ = rows * rows.transpose();
  mean_row_ = mean.transpose();
  std::map<double, std::size_t> index;
  alike_.clear();
  for (Eigen::Index j = 0; j < mean.cols(); ++j) {
    const auto [at, added] = index.emplace(sum_[j], alike_.size());
    if (added) {
      alike_.push_back({sum_[j], 0.0, Eigen::MatrixXd::Zero(p + 1, p + 1)});
    }
    Alike& a = alike_[at->second];
    a.levels += 1.0;
    a.squares += mean.col(j) * mean.col(j).transpose();
  }
}

Eigen::MatrixXd GroupEngine::Moments(double theta2) const {
  Eigen::MatrixXd out = within_;
  for (const Alike& a : alike_) {
    out += a.sum / (1.0 + theta2 * a.sum) * a.squares;
  }
  return out;
}

MixedPoint GroupEngine::At(std::span<const double> theta) {
  const double theta2 = theta[0] * theta[0];
  const Eigen::Index p = x_.cols();
  const Eigen::MatrixXd moments = Moments(theta2);
  const Eigen::LLT<Eigen::MatrixXd> llt(moments.topLeftCorner(p, p));
  chol_x_ = llt.matrixL();
  const Eigen::VectorXd half =
      chol_x_.triangularView<Eigen::Lower>().solve(moments.col(p).head(p));
  MixedPoint out;
  out.beta = chol_x_.transpose().triangularView<Eigen::Upper>().solve(half);
  out.rss = std::max(moments(p, p) - half.squaredNorm(), 0.0);
  out.log_det_x = 2.0 * chol_x_.diagonal().array().log().sum() + log_det_scale_;
  out.log_det_v = -log_weights_;
  for (const Alike& a : alike_) {
    out.log_det_v += a.levels * std::log1p(theta2 * a.sum);
  }
  return out;
}

std::vector<std::vector<double>> GroupEngine::Effects(
    std::span<const double> theta, const MixedPoint& point) {
  const double theta2 = theta[0] * theta[0];
  const Eigen::Index p = x_.cols();
  std::vector<std::vector<double>> out(1, std::vector<double>(levels_));
  for (std::size_t j = 0; j < levels_; ++j) {
    const Eigen::Index at = static_cast<Eigen::Index>(j);
    const double left =
        mean_row_(at, p) - mean_row_.row(at).head(p).dot(point.beta);
    out[0][j] = theta2 * sum_[at] / (1.0 + theta2 * sum_[at]) * left;
  }
  return out;
}

double GroupEngine::Slope(double theta2, bool restricted, double dof) {
  const double theta = std::sqrt(theta2);
  const MixedPoint point = At(std::span(&theta, 1));
  const Eigen::Index p = x_.cols();
  Eigen::VectorXd left(p + 1);  // y - x beta of a mean row
  left << -point.beta, 1.0;
  const Eigen::MatrixXd half = chol_x_.triangularView<Eigen::Lower>().solve(
      Eigen::MatrixXd::Identity(p, p));
  const Eigen::MatrixXd cov = half.transpose() * half;
  double slope = 0.0;
  for (const Alike& a : alike_) {
    const double c = a.sum / (1.0 + theta2 * a.sum);
    slope += a.levels * c;
    slope -= dof * c * c * left.dot(a.squares * left) / point.rss;
    if (!restricted) continue;
    slope -= c * c * cov.cwiseProduct(a.squares.topLeftCorner(p, p)).sum();
  }
  return slope;
}

GroupEngine::Within GroupEngine::WithinLevels() const {
  // Columns that do not move within any level, or repeat earlier ones there,
  // leave nothing behind once those are taken out.
  const Eigen::Index p = x_.cols();
  Eigen::MatrixXd m = within_;
  Within out;
  for (Eigen::Index k = 0; k < p; ++k) {
    const double all = static_cast<double>(y_.size());  // columns' own squares
    if (m(k, k) <= 1e-10 * all) continue;
    ++out.rank;
    const Eigen::VectorXd column = m.col(k) / m(k, k);
    const Eigen::RowVectorXd row = m.row(k);
    m -= column * row;
  }
  out.ss = std::max(m(p, p), 0.0);
  out.dof = static_cast<double>(values()) - static_cast<double>(levels_) -
            static_cast<double>(out.rank);
  return out;
}

std::unique_ptr<MixedEngine> MakeGroupEngine(const MixedData& data) {
  return std::make_unique<GroupEngine>(data);
}

}  // namespace masseter
