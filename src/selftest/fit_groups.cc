#include <Eigen/Core>
#include <cmath>

#include "core/metrology/least_squares.h"
#include "core/metrology/polynomial_fit.h"
#include "selftest/certified_fits.h"
#include "selftest/groups.h"

namespace masseter::selftest {
namespace {

struct Fitted {
  Column coeffs;
  Column errors;
  Column residual_sd;  // one value, or none when the fit failed
};

Fitted ByPolynomial(const CertifiedFit& set, const Table& t) {
  const auto fit =
      FitPolynomial(t.at(std::string(set.x.front())), t.at(std::string(set.y)),
                    static_cast<int>(set.coeffs.size()) - 1);
  if (!fit) return {};
  return {fit->coeffs(), fit->standard_errors(), {fit->residual_sd()}};
}

// Columns as given, or powers of the only one.
Eigen::MatrixXd DesignOf(const CertifiedFit& set, const Table& t) {
  const auto n = static_cast<Eigen::Index>(t.at(std::string(set.y)).size());
  const auto p = static_cast<Eigen::Index>(set.coeffs.size());
  Eigen::MatrixXd X(n, p);
  X.col(0).setOnes();
  for (Eigen::Index j = 1; j < p; ++j) {
    const std::size_t which =
        set.x.size() == 1 ? 0 : static_cast<std::size_t>(j - 1);
    const Column& x = t.at(std::string(set.x[which]));
    X.col(j) = Eigen::VectorXd::Map(x.data(), n);
    if (set.x.size() == 1 && j > 1) {
      X.col(j) = X.col(j - 1).cwiseProduct(X.col(1));
    }
  }
  return X;
}

Fitted ByGeneralSolver(const CertifiedFit& set, const Table& t) {
  const Column& y = t.at(std::string(set.y));
  const auto fit = SolveLeastSquares(
      DesignOf(set, t),
      Eigen::VectorXd::Map(y.data(), static_cast<Eigen::Index>(y.size())));
  if (!fit) return {};
  Fitted out{{fit->coeffs.begin(), fit->coeffs.end()}, {}, {fit->residual_sd}};
  for (Eigen::Index j = 0; j < fit->covariance.rows(); ++j) {
    out.errors.push_back(std::sqrt(fit->covariance(j, j)));
  }
  return out;
}

void AddLines(const CertifiedFit& set, const std::string& by,
              const Fitted& fitted, double digits, double error_digits,
              CheckedGroup& group) {
  const std::string name(set.name);
  group.lines.push_back(
      {name + by + ", coefficients", fitted.coeffs, set.coeffs, digits});
  group.lines.push_back({name + by + ", standard errors", fitted.errors,
                         set.standard_errors, error_digits});
  // Longley's residual is not magnified by the inverse.
  group.lines.push_back({name + by + ", residual sd",
                         fitted.residual_sd,
                         {set.residual_sd},
                         set.x.size() > 1 ? digits : error_digits});
}

}  // namespace

void AddFits(Groups& out) {
  CheckedGroup group{"Least squares",
                     "NIST Statistical Reference Datasets, linear regression: "
                     "certified values. Pontius is a load cell's calibration.",
                     {}};
  for (const CertifiedFit& set : CertifiedFits()) {
    const Table t = CertifiedTable(set.file);
    if (t.empty()) {
      group.lines.push_back({std::string(set.name) + ", no data", {}, {}, 1});
      continue;
    }
    if (set.polynomial_digits > 0.0) {
      AddLines(set, "", ByPolynomial(set, t), set.polynomial_digits,
               set.polynomial_error_digits, group);
    }
    if (set.general_digits > 0.0) {
      AddLines(set, " by the general solver", ByGeneralSolver(set, t),
               set.general_digits, set.general_error_digits, group);
    }
  }
  out.push_back(std::move(group));
}

}  // namespace masseter::selftest
