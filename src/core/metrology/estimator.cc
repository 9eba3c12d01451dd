#include "core/metrology/estimator.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace masseter {
namespace {

constexpr std::size_t kCentreTerms = 3;
constexpr std::size_t kQuarticTerms = 10;
constexpr std::size_t kMaxTerms =
    2 * kMaxChannels + kMaxChannels * (kMaxChannels - 1) / 2 + kQuarticTerms;

double PolynomialAt(const std::vector<double>& b, double x) {
  double y = 0.0;
  for (std::size_t k = b.size(); k-- > 0;) y = y * x + b[k];
  return y;
}

double SlopeAt(const std::vector<double>& b, double x) {
  double y = 0.0;
  for (std::size_t k = b.size(); k-- > 1;) {
    y = y * x + static_cast<double>(k) * b[k];
  }
  return y;
}

// Newton's method from the straight line through the ends of the calibrated
// range; beyond the range the curve goes on along its tangent, so that a
// polynomial is never asked for more than it was fitted to.
double InverseCurve(const std::vector<double>& b, double range, double v) {
  const double top = PolynomialAt(b, range);
  if ((v - top) * (top - b[0]) > 0.0) {
    return range + (v - top) / SlopeAt(b, range);
  }
  if ((v - b[0]) * (top - b[0]) < 0.0) return (v - b[0]) / b[1];
  double f = range * (v - b[0]) / (top - b[0]);
  for (int i = 0; i < 20; ++i) {
    const double step = (PolynomialAt(b, f) - v) / SlopeAt(b, f);
    f -= step;
    if (std::abs(step) <= 1e-13 * range) break;
  }
  return f;
}

// Several numbers that the same is done with; the compiler does it to two or
// more at once.
struct Lanes {
  Estimator::Together v;

  Lanes() = default;
  explicit Lanes(double same) { v.fill(same); }

  template <class Op>
  static Lanes Each(const Lanes& a, const Lanes& b, Op op) {
    Lanes out;
    for (std::size_t k = 0; k < a.v.size(); ++k) out.v[k] = op(a.v[k], b.v[k]);
    return out;
  }
  friend Lanes operator+(const Lanes& a, const Lanes& b) {
    return Each(a, b, [](double x, double y) { return x + y; });
  }
  friend Lanes operator*(const Lanes& a, const Lanes& b) {
    return Each(a, b, [](double x, double y) { return x * y; });
  }
  friend Lanes operator/(const Lanes& a, const Lanes& b) {
    return Each(a, b, [](double x, double y) { return x / y; });
  }
  friend Lanes operator*(double a, const Lanes& b) { return Lanes(a) * b; }
  friend Lanes operator*(const Lanes& a, double b) { return a * Lanes(b); }
  friend Lanes operator/(const Lanes& a, double b) { return a / Lanes(b); }
  Lanes& operator+=(const Lanes& b) { return *this = *this + b; }
};

double AtLeast(double x, double least) { return std::max(x, least); }
Lanes AtLeast(const Lanes& x, double least) {
  return Lanes::Each(x, Lanes(least),
                     [](double a, double b) { return std::max(a, b); });
}
double Magnitude(double x) { return std::abs(x); }
Lanes Magnitude(const Lanes& x) {
  return Lanes::Each(x, x, [](double a, double) { return std::abs(a); });
}

// The terms of `u` and `w`, the centre of force; returns how many.
template <class T>
std::size_t CentreTerms(EstimatorForm form, T s, T u, T w, T* out) {
  std::size_t n = 0;
  if (form == EstimatorForm::kSurface) {
    out[n++] = s * u;
    out[n++] = s * w;
  }
  out[n++] = s * u * u;
  out[n++] = s * u * w;
  out[n++] = s * w * w;
  if (form == EstimatorForm::kQuartic) {
    out[n++] = s * (u * u * u);
    out[n++] = s * (u * u * w);
    out[n++] = s * (u * w * w);
    out[n++] = s * (w * w * w);
    out[n++] = s * (u * u * u * u);
    out[n++] = s * (u * u * w * w);
    out[n++] = s * (w * w * w * w);
  }
  return n;
}

// T is one number or several side by side.
template <class T>
void TermsOf(const Estimator& e, std::span<const T> v, std::span<T> out) {
  using Form = EstimatorForm;
  const std::size_t m = e.channels();
  std::array<T, kMaxChannels> p;
  T sum(0.0);
  for (std::size_t i = 0; i < m; ++i) {
    p[i] = e.gain[i] * v[i];
    sum += p[i];
  }
  std::size_t n = 0;
  if (e.form == Form::kSum || e.form == Form::kCurve ||
      e.form == Form::kSurface) {
    out[n++] = sum;
  } else {
    for (std::size_t i = 0; i < m; ++i) out[n++] = p[i];
  }
  const T s = AtLeast(sum, e.floor_n);
  if (e.form == Form::kPairs) {
    for (std::size_t i = 0; i < m; ++i) {
      for (std::size_t j = i + 1; j < m; ++j) out[n++] = p[i] * p[j] / s;
    }
  } else if (e.form == Form::kSurface || e.form == Form::kCentre ||
             e.form == Form::kQuartic) {
    T mx(0.0);
    T my(0.0);
    for (std::size_t i = 0; i < m; ++i) {
      mx += p[i] * e.cells[i].x_mm;
      my += p[i] * e.cells[i].y_mm;
    }
    const T u = mx / (s * e.spread_mm);
    const T w = my / (s * e.spread_mm);
    n += CentreTerms<T>(e.form, s, u, w, &out[n]);
  }
  if (e.curvature) {
    for (std::size_t i = 0; i < m; ++i) {
      out[n++] = p[i] * Magnitude(p[i]) / e.force_scale_n;
    }
  }
}

template <class T>
T ForceOf(const Estimator& e, std::span<const T> v) {
  std::array<T, kMaxTerms> terms;
  TermsOf<T>(e, v, terms);
  T force(0.0);
  for (std::size_t k = 0; k < e.coeffs.size(); ++k) {
    force += e.coeffs[k] * terms[k];
  }
  return force;
}

}  // namespace

std::string_view EstimatorFormWord(EstimatorForm form) {
  static constexpr std::array<std::string_view, 7> kWords = {
      "sum", "gains", "surface", "centre", "pairs", "quartic", "curve"};
  return kWords[static_cast<std::size_t>(form)];
}

std::size_t Estimator::TermCount() const {
  const std::size_t m = channels();
  const std::size_t bent = curvature ? m : 0;
  switch (form) {
    case EstimatorForm::kSum:
    case EstimatorForm::kCurve:
      return 1 + bent;
    case EstimatorForm::kGains:
      return m + bent;
    case EstimatorForm::kSurface:
      return 3 + kCentreTerms + bent;
    case EstimatorForm::kCentre:
      return m + kCentreTerms + bent;
    case EstimatorForm::kPairs:
      return m + m * (m - 1) / 2 + bent;
    case EstimatorForm::kQuartic:
      return m + kQuarticTerms + bent;
  }
  return 0;
}

void Estimator::Terms(std::span<const double> v, std::span<double> out) const {
  TermsOf<double>(*this, v, out);
}

double Estimator::Force(std::span<const double> v) const {
  if (form == EstimatorForm::kCurve) {
    return InverseCurve(curve, force_scale_n, v[0]);
  }
  return ForceOf<double>(*this, v);
}

void Estimator::Forces(std::span<const Together> v, Together& out) const {
  if (form == EstimatorForm::kCurve) {
    for (std::size_t k = 0; k < kTogether; ++k) {
      out[k] = InverseCurve(curve, force_scale_n, v[0][k]);
    }
    return;
  }
  std::array<Lanes, kMaxChannels> lanes;
  for (std::size_t c = 0; c < channels(); ++c) lanes[c].v = v[c];
  out = ForceOf<Lanes>(*this, {lanes.data(), channels()}).v;
}

std::optional<Place> Estimator::Centre(std::span<const double> v) const {
  if (cells.size() != channels() || channels() < 2) return std::nullopt;
  double sum = 0.0;
  Place moment;
  for (std::size_t i = 0; i < channels(); ++i) {
    const double p = gain[i] * v[i];
    sum += p;
    moment.x_mm += p * cells[i].x_mm;
    moment.y_mm += p * cells[i].y_mm;
  }
  if (sum <= floor_n) return std::nullopt;
  return Place{moment.x_mm / sum, moment.y_mm / sum};
}

std::vector<double> Estimator::Sensitivity(std::span<const double> v) const {
  std::vector<double> at(v.begin(), v.end());
  std::vector<double> slope(channels());
  const double load = std::max(std::abs(Force(v)), floor_n);
  for (std::size_t i = 0; i < channels(); ++i) {
    const double h = 1e-3 * load / std::max(std::abs(gain[i]), 1e-300);
    at[i] = v[i] + h;
    const double above = Force(at);
    at[i] = v[i] - h;
    slope[i] = (above - Force(at)) / (2.0 * h);
    at[i] = v[i];
  }
  return slope;
}

}  // namespace masseter
