#include "core/metrology/least_squares.h"

#include <Eigen/QR>
#include <cmath>
#include <limits>
#include <string>

#include "core/metrology/double_double.h"

namespace masseter {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using PivotedQr = Eigen::ColPivHouseholderQR<MatrixXd>;

constexpr int kMaxRefinements = 6;

// A column whose pivot is below this share of the largest says nothing that
// the others do not.
constexpr double kRankTolerance = 1e-13;

Expected<void> CheckInput(const MatrixXd& X, const VectorXd& y,
                          const VectorXd* weights) {
  if (X.cols() == 0) return BadInput("", "a fit needs at least one column");
  if (X.rows() != y.size()) {
    return BadInput(
        "", "a fit needs one value for each row: " + std::to_string(X.rows()) +
                " rows, " + std::to_string(y.size()) + " values");
  }
  if (!X.allFinite() || !y.allFinite()) {
    return BadInput("", "a value in the fit is not a finite number");
  }
  if (weights == nullptr) return {};
  if (weights->size() != y.size()) {
    return BadInput("", "a fit needs one weight for each row");
  }
  if (!weights->allFinite() || (weights->array() < 0.0).any()) {
    return BadInput("", "a weight is negative or not a finite number");
  }
  return {};
}

// Powers of two that bring each column's norm into [0.5, 1).
VectorXd ColumnScales(const MatrixXd& A) {
  VectorXd scales = VectorXd::Ones(A.cols());
  for (Index j = 0; j < A.cols(); ++j) {
    const double norm = A.col(j).stableNorm();
    int exponent = 0;
    std::frexp(norm, &exponent);
    if (norm > 0.0) scales[j] = std::ldexp(1.0, -exponent);
  }
  return scales;
}

// y - r - A b, each element accumulated in doubled precision.
VectorXd UpperResidual(const MatrixXd& A, const VectorXd& y, const VectorXd& r,
                       const VectorXd& b) {
  VectorXd f(y.size());
  for (Index i = 0; i < y.size(); ++i) {
    DoubleDouble sum = DoubleDouble(y[i]) - DoubleDouble(r[i]);
    for (Index j = 0; j < A.cols(); ++j) {
      sum -= DoubleDouble::Product(A(i, j), b[j]);
    }
    f[i] = sum.value();
  }
  return f;
}

// -A' r, each element accumulated in doubled precision.
VectorXd LowerResidual(const MatrixXd& A, const VectorXd& r) {
  VectorXd g(A.cols());
  for (Index j = 0; j < A.cols(); ++j) {
    DoubleDouble sum;
    for (Index i = 0; i < r.size(); ++i) {
      sum -= DoubleDouble::Product(A(i, j), r[i]);
    }
    g[j] = sum.value();
  }
  return g;
}

// Improves b and r in place until the correction no longer shrinks.
void Refine(const PivotedQr& qr, const MatrixXd& A, const VectorXd& y,
            VectorXd& b, VectorXd& r) {
  const Index p = A.cols();
  const auto R = qr.matrixQR().topRows(p).triangularView<Eigen::Upper>();
  double last = std::numeric_limits<double>::infinity();
  for (int step = 0; step < kMaxRefinements; ++step) {
    const VectorXd f = UpperResidual(A, y, r, b);
    const VectorXd g = LowerResidual(A, r);
    const VectorXd permuted = qr.colsPermutation().transpose() * g;
    const VectorXd z = R.transpose().solve(permuted);
    VectorXd d = qr.householderQ().adjoint() * f;
    const VectorXd head = d.head(p) - z;
    const VectorXd db = qr.colsPermutation() * VectorXd(R.solve(head));
    const double size = db.norm();
    if (!(size < 0.5 * last)) return;
    d.head(p) = z;
    b += db;
    r += qr.householderQ() * d;
    last = size;
    if (size <= 0x1p-54 * b.norm()) return;
  }
}

// (A'A)^-1 from A P = Q R.
MatrixXd InverseGram(const PivotedQr& qr) {
  const Index p = qr.cols();
  const MatrixXd inverse_r =
      qr.matrixQR().topRows(p).triangularView<Eigen::Upper>().solve(
          MatrixXd::Identity(p, p));
  const MatrixXd rows = qr.colsPermutation() * inverse_r;
  return rows * rows.transpose();
}

}  // namespace

Expected<LeastSquaresFit> SolveLeastSquares(const MatrixXd& X,
                                            const VectorXd& y,
                                            const VectorXd* weights,
                                            RankRule rank_rule) {
  if (auto ok = CheckInput(X, y, weights); !ok) {
    return tl::unexpected<Error>(ok.error());
  }
  MatrixXd A = X;
  VectorXd target = y;
  Index used_rows = X.rows();
  if (weights != nullptr) {
    const VectorXd root = weights->cwiseSqrt();
    A = root.asDiagonal() * X;
    target = root.cwiseProduct(y);
    used_rows = (weights->array() > 0.0).count();
  }
  const VectorXd scales = ColumnScales(A);
  A = A * scales.asDiagonal();

  PivotedQr qr;
  qr.setThreshold(kRankTolerance);
  qr.compute(A);
  const bool full = qr.rank() == A.cols() && used_rows >= A.cols();
  if (!full && rank_rule == RankRule::kRefuse) {
    if (used_rows < A.cols()) {
      return BadInput("", std::to_string(A.cols()) +
                              " coefficients cannot be had from " +
                              std::to_string(used_rows) + " rows");
    }
    const Index dependent = qr.colsPermutation().indices()[qr.rank()];
    return BadInput("", "column " + std::to_string(dependent + 1) +
                            " of the fit is a combination of the others");
  }

  LeastSquaresFit fit;
  fit.rank = static_cast<int>(qr.rank());
  fit.dof = static_cast<int>(used_rows) - fit.rank;
  VectorXd b;
  if (full) {
    b = qr.solve(target);
    VectorXd r = target - A * b;
    Refine(qr, A, target, b, r);
    fit.unit_covariance = InverseGram(qr);
  } else {
    Eigen::CompleteOrthogonalDecomposition<MatrixXd> cod;
    cod.setThreshold(kRankTolerance);
    cod.compute(A);
    b = cod.solve(target);
    const MatrixXd inverse = cod.pseudoInverse();
    fit.unit_covariance = inverse * inverse.transpose();
  }
  const VectorXd residual =
      UpperResidual(A, target, VectorXd::Zero(target.size()), b);
  fit.residual_sd = fit.dof > 0 ? residual.norm() / std::sqrt(fit.dof)
                                : std::numeric_limits<double>::quiet_NaN();
  fit.coeffs = scales.asDiagonal() * b;
  fit.unit_covariance =
      scales.asDiagonal() * fit.unit_covariance * scales.asDiagonal();
  fit.covariance = fit.residual_sd * fit.residual_sd * fit.unit_covariance;
  fit.residuals = UpperResidual(X, y, VectorXd::Zero(y.size()), fit.coeffs);
  return fit;
}

}  // namespace masseter
