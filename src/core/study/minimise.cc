#include "core/study/minimise.h"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>

namespace masseter {
namespace {

Eigen::VectorXd ToEigen(const std::vector<double>& v) {
  return Eigen::Map<const Eigen::VectorXd>(v.data(),
                                           static_cast<Eigen::Index>(v.size()));
}

// A point lower than `at` along `step` (Armijo's rule), by halving; false
// where there is none.
struct Point {
  std::vector<double> x;
  std::vector<double> gradient;
  double value = 0.0;
};

bool StepDown(const SmoothFunction& f, const Eigen::VectorXd& step,
              double slope, Point& at) {
  double length = 1.0;
  for (int halving = 0; halving < 50; ++halving, length *= 0.5) {
    std::vector<double> x = at.x;
    for (std::size_t i = 0; i < x.size(); ++i) {
      x[i] += length * step[static_cast<Eigen::Index>(i)];
    }
    const double value = f(x, nullptr);
    if (std::isfinite(value) && value <= at.value + 1e-4 * length * slope &&
        value < at.value) {
      at.x = std::move(x);
      at.value = f(at.x, &at.gradient);
      return true;
    }
  }
  return false;
}

}  // namespace

Minimum Minimise(const SmoothFunction& f, std::vector<double> start,
                 double gradient_tolerance, int most_steps) {
  const auto n = static_cast<Eigen::Index>(start.size());
  Point at{std::move(start), std::vector<double>(static_cast<std::size_t>(n)),
           0.0};
  at.value = f(at.x, &at.gradient);
  Eigen::MatrixXd inverse = Eigen::MatrixXd::Identity(n, n);
  Minimum out;
  bool fresh = true;
  for (; out.steps < most_steps; ++out.steps) {
    const Eigen::VectorXd g = ToEigen(at.gradient);
    if (g.lpNorm<Eigen::Infinity>() < gradient_tolerance) {
      out.converged = true;
      break;
    }
    Eigen::VectorXd step = -(inverse * g);
    if (fresh) step *= std::min(1.0, 0.5 / step.norm());
    const Eigen::VectorXd before = ToEigen(at.x);
    if (g.dot(step) >= 0.0 || !StepDown(f, step, g.dot(step), at)) {
      if (fresh) {
        out.converged = true;  // steepest descent finds nothing lower either
        break;
      }
      inverse.setIdentity();
      fresh = true;
      continue;
    }
    const Eigen::VectorXd s = ToEigen(at.x) - before;
    const Eigen::VectorXd t = ToEigen(at.gradient) - g;
    const double st = s.dot(t);
    if (st > 1e-14 * s.norm() * t.norm()) {
      if (fresh) inverse *= st / t.squaredNorm();
      const Eigen::VectorXd it = inverse * t;
      inverse += (1.0 + t.dot(it) / st) / st * (s * s.transpose()) -
                 (it * s.transpose() + s * it.transpose()) / st;
      fresh = false;
    }
  }
  out.x = std::move(at.x);
  out.value = at.value;
  return out;
}

SmoothFunction WithDifferences(
    std::function<double(const std::vector<double>&)> f, double relative) {
  return [f = std::move(f), relative](const std::vector<double>& x,
                                      std::vector<double>* gradient) {
    if (gradient != nullptr) {
      std::vector<double> near = x;
      for (std::size_t i = 0; i < x.size(); ++i) {
        const double h = relative * std::max(std::abs(x[i]), 1e-3);
        near[i] = x[i] + h;
        const double up = f(near);
        near[i] = x[i] - h;
        const double down = f(near);
        near[i] = x[i];
        (*gradient)[i] = (up - down) / (2.0 * h);
      }
    }
    return f(x);
  };
}

}  // namespace masseter
