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
  const std::size_t m = channels();
  std::array<double, kMaxChannels> p;
  double sum = 0.0;
  for (std::size_t i = 0; i < m; ++i) {
    p[i] = gain[i] * v[i];
    sum += p[i];
  }
  std::size_t n = 0;
  if (form == EstimatorForm::kSum || form == EstimatorForm::kCurve ||
      form == EstimatorForm::kSurface) {
    out[n++] = sum;
  } else {
    for (std::size_t i = 0; i < m; ++i) out[n++] = p[i];
  }
  const double s = std::max(sum, floor_n);
  if (form == EstimatorForm::kPairs) {
    for (std::size_t i = 0; i < m; ++i) {
      for (std::size_t j = i + 1; j < m; ++j) out[n++] = p[i] * p[j] / s;
    }
  } else if (form == EstimatorForm::kSurface ||
             form == EstimatorForm::kCentre ||
             form == EstimatorForm::kQuartic) {
    double mx = 0.0;
    double my = 0.0;
    for (std::size_t i = 0; i < m; ++i) {
      mx += p[i] * cells[i].x_mm;
      my += p[i] * cells[i].y_mm;
    }
    const double u = mx / (s * spread_mm);
    const double w = my / (s * spread_mm);
    if (form == EstimatorForm::kSurface) {
      out[n++] = s * u;
      out[n++] = s * w;
    }
    out[n++] = s * u * u;
    out[n++] = s * u * w;
    out[n++] = s * w * w;
    if (form == EstimatorForm::kQuartic) {
      for (const double term : {u * u * u, u * u * w, u * w * w, w * w * w,
                                u * u * u * u, u * u * w * w, w * w * w * w}) {
        out[n++] = s * term;
      }
    }
  }
  if (curvature) {
    for (std::size_t i = 0; i < m; ++i) {
      out[n++] = p[i] * std::abs(p[i]) / force_scale_n;
    }
  }
}

double Estimator::Force(std::span<const double> v) const {
  if (form == EstimatorForm::kCurve) {
    return InverseCurve(curve, force_scale_n, v[0]);
  }
  std::array<double, kMaxTerms> terms;
  Terms(v, terms);
  double force = 0.0;
  for (std::size_t k = 0; k < coeffs.size(); ++k) force += coeffs[k] * terms[k];
  return force;
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
