// Quantiles and tail probabilities that uncertainty work needs, and the
// effective degrees of freedom of a combined uncertainty (GUM, JCGM 100:2008,
// annex G). Wrappers over Boost.Math that never throw: an argument outside
// the domain gives NaN.
//
// Degrees of freedom are doubles > 0. Infinity is legal for t and F and means
// the limiting distribution (Student's t becomes the normal); chi-squared has
// none.
// Pure functions; safe from several threads.
#ifndef MASSETER_CORE_METROLOGY_STUDENT_T_H_
#define MASSETER_CORE_METROLOGY_STUDENT_T_H_

#include <span>

namespace masseter {

// The x with P(X <= x) = p, 0 < p < 1.
double NormalQuantile(double p);
double StudentTQuantile(double p, double dof);
double ChiSquaredQuantile(double p, double dof);
double FQuantile(double p, double dof1, double dof2);

// P(X <= x).
double NormalCdf(double x);
double StudentTCdf(double x, double dof);
double ChiSquaredCdf(double x, double dof);

// P(X > x), computed without 1 - P, so that tiny values keep their digits.
double StudentTUpperTail(double x, double dof);
double ChiSquaredUpperTail(double x, double dof);
double FUpperTail(double x, double dof1, double dof2);

// The k of an expanded uncertainty U = k u for a two-sided coverage
// probability `level` (0.95 for 95 %): t_p(nu) of GUM table G.2. Degrees of
// freedom that are not whole are used as they are (GUM G.4.1 also allows
// truncating them to the next lower integer; truncate before the call).
double CoverageFactor(double level, double dof);

// One term of a combined uncertainty: |c_i| u(x_i), in the unit of the result,
// and its degrees of freedom (infinity for a term known exactly, as a type B
// term usually is).
struct UncertaintyTerm {
  double standard_uncertainty = 0.0;
  double dof = 0.0;
};

struct CombinedUncertainty {
  double standard_uncertainty = 0.0;  // root sum of squares
  double dof = 0.0;                   // effective, Welch-Satterthwaite
};

// GUM G.4.1, equation (G.2b): nu_eff = u_c^4 / sum u_i^4 / nu_i, for terms
// that are not correlated. Infinity when every term has infinite degrees of
// freedom or no term has any size.
CombinedUncertainty CombineUncertainties(
    std::span<const UncertaintyTerm> terms);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_STUDENT_T_H_
