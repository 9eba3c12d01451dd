// Several random factors: a sparse Cholesky factor of I + L' Z' W Z L, with L
// the diagonal of theta (Bates et al. 2015, section 3). The pattern is analysed
// once, and every step fills it anew.
#include <Eigen/Cholesky>
#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <algorithm>
#include <cmath>

#include "core/study/mixed_engine.h"

namespace masseter {
namespace {

using Sparse = Eigen::SparseMatrix<double>;

class SparseEngine : public MixedEngine {
 public:
  explicit SparseEngine(const MixedData& data)
      : MixedEngine(data), random_(data.random) {
    for (const RandomFactor& f : random_) {
      first_.push_back(levels_);
      levels_ += f.levels;
    }
    for (std::size_t k = 0; k < random_.size(); ++k) {
      factor_of_.insert(factor_of_.end(), random_[k].levels, k);
    }
    SetWeights(Eigen::VectorXd::Ones(y_.size()));
  }

  void SetWeights(const Eigen::VectorXd& w) override;
  MixedPoint At(std::span<const double> theta) override;
  std::vector<std::vector<double>> Effects(std::span<const double> theta,
                                           const MixedPoint&) override;

 private:
  Eigen::Index Row(std::size_t factor, std::size_t i) const {
    return static_cast<Eigen::Index>(first_[factor] + random_[factor].level[i]);
  }
  Sparse Penalised(std::span<const double> theta) const;

  const std::vector<RandomFactor>& random_;
  std::vector<std::size_t> first_;
  std::vector<std::size_t> factor_of_;
  std::size_t levels_ = 0;
  Eigen::VectorXd weights_;
  double log_weights_ = 0.0;  // sum of log w
  Sparse squares_;            // Z' W Z
  Eigen::MatrixXd cross_;     // Z' W [X y]
  Eigen::MatrixXd moments_;
  Eigen::SimplicialLDLT<Sparse> ldlt_;
  bool analysed_ = false;
  Eigen::VectorXd spherical_;  // effects over theta s, of the last At
};

void SparseEngine::SetWeights(const Eigen::VectorXd& w) {
  weights_ = w;
  log_weights_ = w.array().log().sum();
  const Eigen::Index p = x_.cols();
  Eigen::MatrixXd rows(y_.size(), p + 1);
  rows << x_, y_;
  const Eigen::MatrixXd weighted = w.asDiagonal() * rows;
  moments_ = rows.transpose() * weighted;
  const auto q = static_cast<Eigen::Index>(levels_);
  cross_ = Eigen::MatrixXd::Zero(q, p + 1);
  std::vector<Eigen::Triplet<double>> entries;
  for (std::size_t i = 0; i < values(); ++i) {
    const auto at = static_cast<Eigen::Index>(i);
    for (std::size_t k = 0; k < random_.size(); ++k) {
      cross_.row(Row(k, i)) += weighted.row(at);
      for (std::size_t l = 0; l < random_.size(); ++l) {
        entries.emplace_back(Row(k, i), Row(l, i), w[at]);
      }
    }
  }
  squares_.resize(q, q);
  squares_.setFromTriplets(entries.begin(), entries.end());
}

Sparse SparseEngine::Penalised(std::span<const double> theta) const {
  Sparse a = squares_;
  for (Eigen::Index column = 0; column < a.outerSize(); ++column) {
    const double right = theta[factor_of_[static_cast<std::size_t>(column)]];
    for (Sparse::InnerIterator it(a, column); it; ++it) {
      it.valueRef() *=
          right * theta[factor_of_[static_cast<std::size_t>(it.row())]];
      if (it.row() == column) it.valueRef() += 1.0;
    }
  }
  return a;
}

MixedPoint SparseEngine::At(std::span<const double> theta) {
  const Eigen::Index p = x_.cols();
  const Sparse a = Penalised(theta);
  if (!analysed_) ldlt_.analyzePattern(a);
  analysed_ = true;
  ldlt_.factorize(a);
  Eigen::MatrixXd right = cross_;
  for (Eigen::Index r = 0; r < right.rows(); ++r) {
    right.row(r) *= theta[factor_of_[static_cast<std::size_t>(r)]];
  }
  const Eigen::MatrixXd solved = ldlt_.solve(right);
  const Eigen::MatrixXd m = moments_ - right.transpose() * solved;
  const Eigen::LLT<Eigen::MatrixXd> llt(m.topLeftCorner(p, p));
  chol_x_ = llt.matrixL();
  MixedPoint out;
  out.beta = llt.solve(m.col(p).head(p));
  spherical_ = solved.col(p) - solved.leftCols(p) * out.beta;
  // The sum of squares itself, not as the difference of two large ones.
  Eigen::VectorXd left = y_ - x_ * out.beta;
  for (std::size_t k = 0; k < random_.size(); ++k) {
    for (std::size_t i = 0; i < values(); ++i) {
      left[static_cast<Eigen::Index>(i)] -= theta[k] * spherical_[Row(k, i)];
    }
  }
  out.rss = (weights_.array() * left.array().square()).sum() +
            spherical_.squaredNorm();
  out.log_det_x = 2.0 * chol_x_.diagonal().array().log().sum() + log_det_scale_;
  out.log_det_v = ldlt_.vectorD().array().log().sum() - log_weights_;
  return out;
}

std::vector<std::vector<double>> SparseEngine::Effects(
    std::span<const double> theta, const MixedPoint&) {
  std::vector<std::vector<double>> out;
  for (std::size_t k = 0; k < random_.size(); ++k) {
    std::vector<double> effect(random_[k].levels);
    for (std::size_t l = 0; l < effect.size(); ++l) {
      effect[l] =
          theta[k] * spherical_[static_cast<Eigen::Index>(first_[k] + l)];
    }
    out.push_back(std::move(effect));
  }
  return out;
}

}  // namespace

std::unique_ptr<MixedEngine> MakeSparseEngine(const MixedData& data) {
  return std::make_unique<SparseEngine>(data);
}

}  // namespace masseter
