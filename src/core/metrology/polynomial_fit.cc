#include "core/metrology/polynomial_fit.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>
#include <string>

#include "core/metrology/double_double.h"
#include "core/metrology/student_t.h"

namespace masseter {
namespace {

using DoubleDoubles = std::vector<DoubleDouble>;

std::string Number(double value) {
  char text[32];
  const auto end = std::to_chars(text, text + sizeof text, value,
                                 std::chars_format::general, 7)
                       .ptr;
  return std::string(text, end);
}

Expected<void> CheckInput(std::span<const double> x, std::span<const double> y,
                          int order, const PolynomialOptions& options) {
  if (order < (options.through_zero ? 1 : 0) || order > kMaxPolynomialOrder) {
    return BadInput(
        "", "a curve of order " + std::to_string(order) + " cannot be fitted");
  }
  if (x.size() != y.size() ||
      (!options.weights.empty() && options.weights.size() != x.size())) {
    return BadInput("",
                    "a curve needs one reading and one weight for each "
                    "load");
  }
  const auto finite = [](double v) { return std::isfinite(v); };
  if (!std::all_of(x.begin(), x.end(), finite) ||
      !std::all_of(y.begin(), y.end(), finite)) {
    return BadInput("", "a load or reading is not a finite number");
  }
  const auto positive = [](double w) { return w > 0.0 && std::isfinite(w); };
  if (!std::all_of(options.weights.begin(), options.weights.end(), positive)) {
    return BadInput("", "a weight is not a positive number");
  }
  std::vector<double> loads(x.begin(), x.end());
  if (options.through_zero) std::erase(loads, 0.0);
  std::sort(loads.begin(), loads.end());
  const auto different =
      std::unique(loads.begin(), loads.end()) - loads.begin();
  const int needed = order + (options.through_zero ? 0 : 1);
  if (different < needed) {
    return BadInput("", "a curve of order " + std::to_string(order) +
                            " needs " + std::to_string(needed) +
                            " different loads" +
                            (options.through_zero ? " besides zero" : "") +
                            ", there are " + std::to_string(different));
  }
  return {};
}

// The root of f between lo and hi, whose signs differ, by bisection down to
// neighbouring doubles.
template <class F>
double Bisect(const F& f, double lo, double hi) {
  const bool rising = f(lo) < 0.0;
  for (;;) {
    const double mid = lo + 0.5 * (hi - lo);
    if (mid <= std::min(lo, hi) || mid >= std::max(lo, hi)) return mid;
    const double value = f(mid);
    if (value == 0.0) return mid;
    ((value < 0.0) == rising ? lo : hi) = mid;
  }
}

}  // namespace

// Builds a PolynomialFit; everything is in doubled precision until stored.
class PolynomialFitter {
 public:
  PolynomialFitter(std::span<const double> x, std::span<const double> y,
                   int order, const PolynomialOptions& options)
      : x_(x), options_(options), residual_(y.begin(), y.end()) {
    fit_.through_zero_ = options.through_zero;
    terms_ = order + (options.through_zero ? 0 : 1);
    const auto size = static_cast<std::size_t>(order) + 1;
    power_coeffs_.assign(size, DoubleDouble());
    double largest = 0.0;
    for (const double v : x) largest = std::fmax(largest, std::fabs(v));
    int exponent = 0;
    std::frexp(largest, &exponent);
    fit_.scale_ = std::ldexp(1.0, -exponent);
  }

  PolynomialFit Fit() {
    const std::size_t n = x_.size();
    const std::size_t size = power_coeffs_.size();
    DoubleDoubles before(n);  // phi_{k-1} at the data
    DoubleDoubles phi(n, DoubleDouble(1.0));
    DoubleDoubles power_before(size);  // phi_{k-1} in powers of t
    DoubleDoubles power(size);
    power[fit_.through_zero_ ? 1 : 0] = DoubleDouble(1.0);
    if (fit_.through_zero_) {
      for (std::size_t i = 0; i < n; ++i) phi[i] = DoubleDouble(T(i));
    }
    DoubleDouble norm_before;
    for (int k = 0; k < terms_; ++k) {
      const Moments m = Project(phi);
      const DoubleDouble beta = k == 0 ? DoubleDouble() : m.norm2 / norm_before;
      fit_.terms_.push_back(
          {m.coeff.value(), m.norm2.value(), m.alpha.value(), beta.value()});
      expansions_.push_back(power);
      for (std::size_t j = 0; j < size; ++j) {
        power_coeffs_[j] += m.coeff * power[j];
      }
      for (std::size_t i = 0; i < n; ++i) {
        residual_[i] -= m.coeff * phi[i];
        const DoubleDouble next =
            (DoubleDouble(T(i)) - m.alpha) * phi[i] - beta * before[i];
        before[i] = phi[i];
        phi[i] = next;
      }
      Advance(power, power_before, m.alpha, beta);
      norm_before = m.norm2;
    }
    Finish();
    return std::move(fit_);
  }

 private:
  struct Moments {
    DoubleDouble norm2;
    DoubleDouble coeff;
    DoubleDouble alpha;
  };

  double T(std::size_t i) const { return x_[i] * fit_.scale_; }
  double Weight(std::size_t i) const {
    return options_.weights.empty() ? 1.0 : options_.weights[i];
  }

  Moments Project(const DoubleDoubles& phi) const {
    DoubleDouble norm2;
    DoubleDouble with_y;
    DoubleDouble with_t;
    for (std::size_t i = 0; i < phi.size(); ++i) {
      const DoubleDouble weighted = DoubleDouble(Weight(i)) * phi[i];
      const DoubleDouble square = weighted * phi[i];
      norm2 += square;
      with_t += square * DoubleDouble(T(i));
      with_y += weighted * residual_[i];
    }
    return {norm2, with_y / norm2, with_t / norm2};
  }

  // power <- (t - alpha) power - beta power_before.
  static void Advance(DoubleDoubles& power, DoubleDoubles& power_before,
                      DoubleDouble alpha, DoubleDouble beta) {
    DoubleDoubles next(power.size());
    for (std::size_t j = 0; j < power.size(); ++j) {
      next[j] = -(alpha * power[j]) - beta * power_before[j];
      if (j > 0) next[j] += power[j - 1];
    }
    power_before = std::move(power);
    power = std::move(next);
  }

  void Finish() {
    DoubleDouble ss;
    for (std::size_t i = 0; i < residual_.size(); ++i) {
      fit_.residuals_.push_back(residual_[i].value());
      ss += DoubleDouble(Weight(i)) * residual_[i] * residual_[i];
    }
    fit_.dof_ = static_cast<int>(x_.size()) - terms_;
    fit_.residual_ss_ = ss.value();
    fit_.residual_sd_ = fit_.dof_ > 0
                            ? std::sqrt(ss.value() / fit_.dof_)
                            : std::numeric_limits<double>::quiet_NaN();
    const std::size_t size = power_coeffs_.size();
    fit_.covariance_.resize(static_cast<Eigen::Index>(size),
                            static_cast<Eigen::Index>(size));
    double scale_i = 1.0;
    for (std::size_t i = 0; i < size; ++i, scale_i *= fit_.scale_) {
      fit_.coeffs_.push_back(power_coeffs_[i].value() * scale_i);
      double scale_j = 1.0;
      for (std::size_t j = 0; j < size; ++j, scale_j *= fit_.scale_) {
        fit_.covariance_(static_cast<Eigen::Index>(i),
                         static_cast<Eigen::Index>(j)) =
            Covariance(i, j) * scale_i * scale_j;
      }
      const auto d = static_cast<Eigen::Index>(i);
      fit_.errors_.push_back(std::sqrt(fit_.covariance_(d, d)));
    }
  }

  // Of the coefficients of t^i and t^j.
  double Covariance(std::size_t i, std::size_t j) const {
    DoubleDouble sum;
    for (std::size_t k = 0; k < expansions_.size(); ++k) {
      sum += expansions_[k][i] * expansions_[k][j] /
             DoubleDouble(fit_.terms_[k].norm2);
    }
    if (sum.value() == 0.0) return 0.0;  // the constant of a through-zero fit
    return sum.value() * fit_.residual_sd_ * fit_.residual_sd_;
  }

  std::span<const double> x_;
  const PolynomialOptions& options_;
  DoubleDoubles residual_;
  int terms_ = 0;
  DoubleDoubles power_coeffs_;             // of t
  std::vector<DoubleDoubles> expansions_;  // phi_k in powers of t
  PolynomialFit fit_;
};

Expected<PolynomialFit> FitPolynomial(std::span<const double> x,
                                      std::span<const double> y, int order,
                                      const PolynomialOptions& options) {
  if (auto ok = CheckInput(x, y, order, options); !ok) {
    return tl::unexpected<Error>(ok.error());
  }
  return PolynomialFitter(x, y, order, options).Fit();
}

double PolynomialFit::Value(double x) const {
  const double t = x * scale_;
  double before = 0.0;
  double phi = through_zero_ ? t : 1.0;
  double sum = 0.0;
  for (const Term& term : terms_) {
    sum += term.coeff * phi;
    const double next = (t - term.alpha) * phi - term.beta * before;
    before = phi;
    phi = next;
  }
  return sum;
}

double PolynomialFit::Slope(double x) const {
  const double t = x * scale_;
  double before = 0.0;
  double phi = through_zero_ ? t : 1.0;
  double d_before = 0.0;
  double d_phi = through_zero_ ? 1.0 : 0.0;
  double sum = 0.0;
  for (const Term& term : terms_) {
    sum += term.coeff * d_phi;
    const double next = (t - term.alpha) * phi - term.beta * before;
    const double d_next = phi + (t - term.alpha) * d_phi - term.beta * d_before;
    before = phi;
    phi = next;
    d_before = d_phi;
    d_phi = d_next;
  }
  return sum * scale_;
}

double PolynomialFit::StandardError(double x) const {
  const double t = x * scale_;
  double before = 0.0;
  double phi = through_zero_ ? t : 1.0;
  double sum = 0.0;
  for (const Term& term : terms_) {
    sum += phi * phi / term.norm2;
    const double next = (t - term.alpha) * phi - term.beta * before;
    before = phi;
    phi = next;
  }
  return residual_sd_ * std::sqrt(sum);
}

double PolynomialFit::PredictionError(double x) const {
  return std::hypot(StandardError(x), residual_sd_);
}

Interval PolynomialFit::ConfidenceBand(double x, double level) const {
  const double half = CoverageFactor(level, dof_) * StandardError(x);
  const double y = Value(x);
  return {y - half, y + half};
}

Interval PolynomialFit::PredictionBand(double x, double level) const {
  const double half = CoverageFactor(level, dof_) * PredictionError(x);
  const double y = Value(x);
  return {y - half, y + half};
}

Expected<double> PolynomialFit::Inverse(double y, double lo, double hi) const {
  const double at_lo = Value(lo);
  const double at_hi = Value(hi);
  if (!((at_lo <= y && y <= at_hi) || (at_hi <= y && y <= at_lo))) {
    return BadInput("", "the reading " + Number(y) +
                            " lies outside the curve's range, " +
                            Number(std::min(at_lo, at_hi)) + " to " +
                            Number(std::max(at_lo, at_hi)));
  }
  if (at_lo == y) return lo;
  if (at_hi == y) return hi;
  return Bisect([&](double x) { return Value(x) - y; }, lo, hi);
}

Expected<InverseReading> PolynomialFit::InverseWithBand(double y, double lo,
                                                        double hi,
                                                        double level) const {
  if (dof_ < 1) {
    return BadInput("", "a curve with no degrees of freedom left has no band");
  }
  const auto x = Inverse(y, lo, hi);
  if (!x) return tl::unexpected<Error>(x.error());
  InverseReading reading;
  reading.x = *x;
  const double slope = Slope(*x);
  reading.standard_uncertainty = PredictionError(*x) / std::fabs(slope);
  const double t = CoverageFactor(level, dof_);
  const double width = std::fabs(hi - lo);
  // Going from x toward `end`, where the band's nearer edge passes y.
  const auto edge = [&](double end, double side) {
    const auto distance = [&](double at) {
      return Value(at) + side * t * PredictionError(at) - y;
    };
    const double near = distance(*x);
    if (!(near * distance(end) <= 0.0)) {
      return std::copysign(std::numeric_limits<double>::infinity(), end - *x);
    }
    return Bisect(distance, *x, end);
  };
  const double rising = slope >= 0.0 ? 1.0 : -1.0;
  reading.band.lower = edge(std::min(lo, hi) - width, rising);
  reading.band.upper = edge(std::max(lo, hi) + width, -rising);
  return reading;
}

Expected<LackOfFit> TestLackOfFit(const PolynomialFit& fit,
                                  std::span<const double> x,
                                  std::span<const double> y) {
  if (x.size() != y.size()) {
    return BadInput("", "a curve needs one reading for each load");
  }
  std::vector<std::size_t> order(x.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return x[a] < x[b]; });
  LackOfFit test;
  int groups = 0;
  for (std::size_t from = 0; from < order.size();) {
    std::size_t to = from;
    double mean = 0.0;
    while (to < order.size() && x[order[to]] == x[order[from]]) {
      mean += (y[order[to]] - mean) / static_cast<double>(to - from + 1);
      ++to;
    }
    for (std::size_t i = from; i < to; ++i) {
      const double d = y[order[i]] - mean;
      test.pure_ss += d * d;
    }
    const double lack = mean - fit.Value(x[order[from]]);
    test.lack_ss += static_cast<double>(to - from) * lack * lack;
    ++groups;
    from = to;
  }
  const int parameters = static_cast<int>(x.size()) - fit.dof();
  test.pure_dof = static_cast<int>(x.size()) - groups;
  test.lack_dof = groups - parameters;
  if (test.pure_dof < 1) {
    return BadInput("", "no load was repeated, so the curve cannot be tested");
  }
  if (test.lack_dof < 1) {
    return BadInput("", "the curve uses up all different loads");
  }
  if (!(test.pure_ss > 0.0)) {
    return BadInput("",
                    "repeated loads agree exactly, so their scatter says "
                    "nothing");
  }
  test.f = (test.lack_ss / test.lack_dof) / (test.pure_ss / test.pure_dof);
  test.p = FUpperTail(test.f, test.lack_dof, test.pure_dof);
  return test;
}

}  // namespace masseter
