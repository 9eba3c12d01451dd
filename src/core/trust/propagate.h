// Propagation of distributions by Monte Carlo (JCGM 101:2008): the coverage
// interval of a sum of independent terms whatever their distributions, where
// the law of propagation of uncertainty with a coverage factor is not enough
// (docs/method.md section 4).
//
// The adaptive procedure of clause 7.9: blocks of 10^4 draws until twice the
// standard deviation of the mean over the blocks of each of the average, the
// standard uncertainty and both ends of the interval lies below the numerical
// tolerance delta, half a unit in the last of the significant digits that the
// standard uncertainty is stated with. The answer is then formed from all
// draws. Deterministic: equal terms and seed, equal answer.
#ifndef MASSETER_CORE_TRUST_PROPAGATE_H_
#define MASSETER_CORE_TRUST_PROPAGATE_H_

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

#include "core/bite/bite.h"

namespace masseter {

// Each distribution has expectation 0 and standard deviation u, but for:
//   kStudentT    scaled and shifted t (6.4.9) of scale u; dof > 0
//   kOneSided    rectangular on [0, sqrt(3) u], u the root mean square about
//                0: what a loss can only take off, so that the true value can
//                only be higher; a negative u turns it downwards
enum class TermShape : std::uint8_t {
  kNormal,
  kStudentT,
  kRectangular,
  kTriangular,
  kArcsine,
  kOneSided,
};

// "normal", "t", "rectangular", "triangular", "arcsine", "one-sided"; any
// other word counts as normal.
TermShape ShapeOf(std::string_view word);

struct DrawnTerm {
  TermShape shape = TermShape::kNormal;
  double u = 0.0;    // |sensitivity| times the standard uncertainty
  double dof = 0.0;  // kStudentT only
};

// A budget's lines; a normal one with finite degrees of freedom becomes t.
std::vector<DrawnTerm> TermsOf(std::span<const BudgetLine> lines);

enum class IntervalKind : std::uint8_t {
  kSymmetric,  // probabilistically: as much probability above as below
  kShortest,   // 7.7.2
};

struct PropagationOptions {
  double coverage = 0.95;
  int digits = 2;  // significant digits of u that are meaningful, 1 or more
  IntervalKind interval = IntervalKind::kSymmetric;
  std::uint64_t seed = 1;
  std::size_t most_draws = 1000000;  // two blocks at least are drawn
};

// How far the averages over the blocks had come after some blocks.
struct PropagationStep {
  std::size_t draws = 0;
  double low = 0.0;  // averages over the blocks
  double high = 0.0;
  double scatter = 0.0;  // largest of the four 2 s
};

struct Propagation {
  double mean = 0.0;
  double u = 0.0;    // standard deviation about the mean
  double low = 0.0;  // ends of the coverage interval
  double high = 0.0;
  std::size_t draws = 0;
  double tolerance = 0.0;              // delta of the final u
  bool settled = false;                // the scatter fell below the tolerance
  std::vector<PropagationStep> steps;  // after 2, 4, 8, ... blocks and the last
};

Propagation Propagate(std::span<const DrawnTerm> terms,
                      const PropagationOptions& options);

// delta of 7.9.2: u written as c 10^l with c of `digits` digits, half of 10^l.
double NumericalTolerance(double u, int digits);

// Ends of the interval of `coverage` over the draws, whose order is changed:
// 7.7, without sorting more than the tails.
struct CoverageEnds {
  double low = 0.0;
  double high = 0.0;
};
CoverageEnds CoverageOf(std::span<double> draws, double coverage,
                        IntervalKind kind);

}  // namespace masseter

#endif  // MASSETER_CORE_TRUST_PROPAGATE_H_
