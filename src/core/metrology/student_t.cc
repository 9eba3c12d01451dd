#include "core/metrology/student_t.h"

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <limits>

namespace masseter {
namespace {

namespace bm = boost::math;
namespace bp = boost::math::policies;

// No exceptions, and no long double, whose width differs between machines.
using Quiet = bp::policy<
    bp::domain_error<bp::ignore_error>, bp::pole_error<bp::ignore_error>,
    bp::overflow_error<bp::ignore_error>, bp::underflow_error<bp::ignore_error>,
    bp::evaluation_error<bp::ignore_error>, bp::promote_double<false>>;
using Normal = bm::normal_distribution<double, Quiet>;
using StudentT = bm::students_t_distribution<double, Quiet>;
using ChiSquared = bm::chi_squared_distribution<double, Quiet>;
using FisherF = bm::fisher_f_distribution<double, Quiet>;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

bool IsProbability(double p) { return p > 0.0 && p < 1.0; }

}  // namespace

double NormalQuantile(double p) {
  return IsProbability(p) ? bm::quantile(Normal(), p) : kNan;
}

double StudentTQuantile(double p, double dof) {
  if (!IsProbability(p) || !(dof > 0.0)) return kNan;
  if (std::isinf(dof)) return NormalQuantile(p);
  return bm::quantile(StudentT(dof), p);
}

double ChiSquaredQuantile(double p, double dof) {
  if (!IsProbability(p) || !(dof > 0.0) || std::isinf(dof)) return kNan;
  return bm::quantile(ChiSquared(dof), p);
}

double FQuantile(double p, double dof1, double dof2) {
  if (!IsProbability(p) || !(dof1 > 0.0) || !(dof2 > 0.0)) return kNan;
  if (std::isinf(dof1) && std::isinf(dof2)) return 1.0;
  if (std::isinf(dof2)) return ChiSquaredQuantile(p, dof1) / dof1;
  if (std::isinf(dof1)) return dof2 / ChiSquaredQuantile(1.0 - p, dof2);
  return bm::quantile(FisherF(dof1, dof2), p);
}

double NormalCdf(double x) {
  return std::isnan(x) ? kNan : 0.5 * std::erfc(-x / std::sqrt(2.0));
}

double StudentTCdf(double x, double dof) { return StudentTUpperTail(-x, dof); }

double ChiSquaredCdf(double x, double dof) {
  if (std::isnan(x) || !(dof > 0.0) || std::isinf(dof)) return kNan;
  if (x <= 0.0) return 0.0;
  return std::isinf(x) ? 1.0 : bm::cdf(ChiSquared(dof), x);
}

double StudentTUpperTail(double x, double dof) {
  if (std::isnan(x) || !(dof > 0.0)) return kNan;
  if (std::isinf(dof)) return NormalCdf(-x);
  if (std::isinf(x)) return x > 0.0 ? 0.0 : 1.0;
  return bm::cdf(bm::complement(StudentT(dof), x));
}

double ChiSquaredUpperTail(double x, double dof) {
  if (std::isnan(x) || !(dof > 0.0) || std::isinf(dof)) return kNan;
  if (x <= 0.0) return 1.0;
  return std::isinf(x) ? 0.0 : bm::cdf(bm::complement(ChiSquared(dof), x));
}

double FUpperTail(double x, double dof1, double dof2) {
  if (std::isnan(x) || !(dof1 > 0.0) || !(dof2 > 0.0)) return kNan;
  if (x <= 0.0) return 1.0;
  if (std::isinf(x)) return 0.0;
  if (std::isinf(dof1) && std::isinf(dof2)) return x < 1.0 ? 1.0 : 0.0;
  if (std::isinf(dof2)) return ChiSquaredUpperTail(x * dof1, dof1);
  if (std::isinf(dof1)) return ChiSquaredCdf(dof2 / x, dof2);
  return bm::cdf(bm::complement(FisherF(dof1, dof2), x));
}

double CoverageFactor(double level, double dof) {
  return StudentTQuantile(0.5 + 0.5 * level, dof);
}

CombinedUncertainty CombineUncertainties(
    std::span<const UncertaintyTerm> terms) {
  double largest = 0.0;
  for (const UncertaintyTerm& t : terms) {
    largest = std::fmax(largest, std::fabs(t.standard_uncertainty));
  }
  constexpr double kInfinity = std::numeric_limits<double>::infinity();
  if (largest == 0.0) return {0.0, kInfinity};
  double squares = 0.0;
  double fourths = 0.0;
  for (const UncertaintyTerm& t : terms) {
    const double ratio = t.standard_uncertainty / largest;
    squares += ratio * ratio;
    fourths += ratio * ratio * ratio * ratio / t.dof;
  }
  return {largest * std::sqrt(squares),
          fourths > 0.0 ? squares * squares / fourths : kInfinity};
}

}  // namespace masseter
