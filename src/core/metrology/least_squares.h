// Weighted linear least squares: the coefficients b that minimise
// sum_i w_i (y_i - (X b)_i)^2, with their whole covariance.
//
// Method: columns are scaled by powers of two (exact, so that a column in
// counts and one in volts lose no digits against each other), decomposed by
// Householder QR with column pivoting, and the solution is refined on the
// augmented system r + A b = y, A'r = 0 with residuals in doubled precision
// (Bjorck, BIT 7 (1967) 257). The normal equations are never formed: they
// square the condition number.
#ifndef MASSETER_CORE_METROLOGY_LEAST_SQUARES_H_
#define MASSETER_CORE_METROLOGY_LEAST_SQUARES_H_

#include <Eigen/Core>

#include "core/base/error.h"

namespace masseter {

// What to do when the columns are not independent: when, scaled, one adds less
// than 1e-13 of the largest to the others.
enum class RankRule {
  kRefuse,       // an Error that names the first dependent column
  kMinimumNorm,  // the shortest solution, measured in the scaled columns
};

// The result. p = X.cols(), n = X.rows().
struct LeastSquaresFit {
  Eigen::VectorXd coeffs;  // p

  // p x p, (X'WX)^-1 s^2 with s = residual_sd; the pseudo-inverse when the
  // rank is less than p. All NaN when dof is 0.
  Eigen::MatrixXd covariance;

  // p x p, (X'WX)^-1 alone: for a caller who knows the variance of unit
  // weight from elsewhere.
  Eigen::MatrixXd unit_covariance;

  // sqrt(sum w r^2 / dof); NaN when dof is 0.
  double residual_sd = 0.0;

  int dof = 0;   // rows of positive weight minus rank
  int rank = 0;  // of W^(1/2) X

  Eigen::VectorXd residuals;  // n, y - X b, not weighted
};

// Solves for b. `weights`, when given, has n entries >= 0 and is proportional
// to 1/variance; a row of weight 0 takes no part but has a residual.
//
// Errors (kBadInput): sizes that do not fit, no column, fewer rows of positive
// weight than columns (with kRefuse), a value that is not finite, a negative
// weight, dependent columns (with kRefuse).
//
// Pure; safe to call from several threads at once.
Expected<LeastSquaresFit> SolveLeastSquares(
    const Eigen::MatrixXd& X, const Eigen::VectorXd& y,
    const Eigen::VectorXd* weights = nullptr,
    RankRule rank_rule = RankRule::kRefuse);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_LEAST_SQUARES_H_
