// Smooth functions of a few variables, minimised by BFGS with a backtracking
// line search (Nocedal and Wright, Numerical Optimization, 2nd ed., algorithm
// 6.1 and section 3.1). Pure of anything but the function given.
#ifndef MASSETER_CORE_STUDY_MINIMISE_H_
#define MASSETER_CORE_STUDY_MINIMISE_H_

#include <functional>
#include <vector>

namespace masseter {

// The value at x; fills `gradient` (same size) when it is not null. May be
// infinite where the function is not defined.
using SmoothFunction = std::function<double(const std::vector<double>& x,
                                            std::vector<double>* gradient)>;

struct Minimum {
  std::vector<double> x;
  double value = 0.0;
  bool converged = false;
  int steps = 0;
};

// Ends where a step no longer lowers the value or the gradient is below
// `gradient_tolerance` in every variable.
Minimum Minimise(const SmoothFunction& f, std::vector<double> start,
                 double gradient_tolerance = 1e-7, int most_steps = 400);

// The function with its gradient by central differences of step
// `relative` max(|x|, 1e-3).
SmoothFunction WithDifferences(
    std::function<double(const std::vector<double>&)> f,
    double relative = 1e-4);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_MINIMISE_H_
