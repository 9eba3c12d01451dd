// A calibration curve: the polynomial y = b0 + b1 x + ... that fits readings y
// on loads x by (weighted) least squares, its covariance, its bands and its
// inverse.
//
// Method: orthogonal polynomials over the data (Forsythe, J. SIAM 5 (1957) 74)
// built by their three-term recurrence in doubled precision; coefficients of
// powers of x are expanded from them, also in doubled precision. Values and
// bands are computed in the orthogonal basis, where nothing cancels. Every
// NIST StRD linear set that is a polynomial, Filip's tenth degree included,
// comes out to at least 12 digits (tests/reference).
#ifndef MASSETER_CORE_METROLOGY_POLYNOMIAL_FIT_H_
#define MASSETER_CORE_METROLOGY_POLYNOMIAL_FIT_H_

#include <Eigen/Core>
#include <span>
#include <vector>

#include "core/base/error.h"

namespace masseter {

inline constexpr int kMaxPolynomialOrder = 20;

struct PolynomialOptions {
  // No constant term: the curve passes through (0, 0) exactly.
  bool through_zero = false;
  // Empty, or one weight > 0 for each point, proportional to 1/variance.
  std::span<const double> weights;
};

struct Interval {
  double lower = 0.0;
  double upper = 0.0;
};

// A load found from a reading.
struct InverseReading {
  double x = 0.0;
  // Where y meets the upper and lower prediction band; infinite on a side
  // where it does not within one bracket width beyond the bracket.
  Interval band;
  // Delta method: prediction standard error at x over |slope|.
  double standard_uncertainty = 0.0;
};

// The curve. A value type; const members are safe from several threads.
class PolynomialFit {
 public:
  int order() const { return static_cast<int>(coeffs_.size()) - 1; }
  bool through_zero() const { return through_zero_; }

  // order + 1 coefficients, constant first; with through_zero the constant,
  // its standard error and its covariances are exactly 0.
  const std::vector<double>& coeffs() const { return coeffs_; }
  const std::vector<double>& standard_errors() const { return errors_; }
  // (order + 1) x (order + 1).
  const Eigen::MatrixXd& covariance() const { return covariance_; }

  // sqrt(sum w r^2 / dof). NaN, like every error and band, when dof is 0.
  double residual_sd() const { return residual_sd_; }
  double residual_ss() const { return residual_ss_; }
  int dof() const { return dof_; }
  // Residuals y - curve, in the order of the data.
  const std::vector<double>& residuals() const { return residuals_; }

  double Value(double x) const;
  double Slope(double x) const;

  // Standard error of the curve itself at x, and of one new observation of
  // unit weight at x (the former and residual_sd in quadrature).
  double StandardError(double x) const;
  double PredictionError(double x) const;

  // Two-sided bands with Student's t at dof(), `level` as in 0.95.
  Interval ConfidenceBand(double x, double level) const;
  Interval PredictionBand(double x, double level) const;

  // The x in [lo, hi] with Value(x) == y. The curve must pass y exactly once
  // or at least change sides between lo and hi; otherwise an Error that says
  // what range of readings the bracket covers.
  Expected<double> Inverse(double y, double lo, double hi) const;
  Expected<InverseReading> InverseWithBand(double y, double lo, double hi,
                                           double level) const;

 private:
  friend Expected<PolynomialFit> FitPolynomial(std::span<const double> x,
                                               std::span<const double> y,
                                               int order,
                                               const PolynomialOptions& o);
  friend class PolynomialFitter;

  struct Term {    // of the orthogonal basis
    double coeff;  // of y
    double norm2;  // sum w phi^2
    double alpha;  // phi_{k+1} = (t - alpha) phi_k - beta phi_{k-1}
    double beta;
  };

  bool through_zero_ = false;
  double scale_ = 1.0;  // t = x scale, a power of two
  std::vector<Term> terms_;
  std::vector<double> coeffs_;
  std::vector<double> errors_;
  Eigen::MatrixXd covariance_;
  double residual_sd_ = 0.0;
  double residual_ss_ = 0.0;
  int dof_ = 0;
  std::vector<double> residuals_;
};

// Fits a polynomial of `order` (1 .. kMaxPolynomialOrder, 0 allowed with a
// constant). Errors (kBadInput): sizes that do not fit, a value that is not
// finite, a weight that is not positive, fewer different loads than the order
// needs.
Expected<PolynomialFit> FitPolynomial(std::span<const double> x,
                                      std::span<const double> y, int order,
                                      const PolynomialOptions& options = {});

// Lack of fit against replicates: is the scatter about the curve larger than
// the scatter of repeated loads explains? (NIST/SEMATECH e-Handbook 4.4.4.6.)
struct LackOfFit {
  double f = 0.0;  // mean square lack of fit over mean square pure error
  double p = 0.0;  // upper tail of F(lack_dof, pure_dof)
  double lack_ss = 0.0;
  int lack_dof = 0;
  double pure_ss = 0.0;
  int pure_dof = 0;
};

// x and y are the data of an unweighted `fit`. Errors when no load repeats, no
// different load is left over, or replicates agree exactly.
Expected<LackOfFit> TestLackOfFit(const PolynomialFit& fit,
                                  std::span<const double> x,
                                  std::span<const double> y);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_POLYNOMIAL_FIT_H_
