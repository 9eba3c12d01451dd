#include "core/study/allometry.h"

#include <algorithm>
#include <cmath>

#include "core/metrology/student_t.h"

namespace masseter {
namespace {

struct Sums {
  double n = 0.0;
  double x = 0.0;  // means
  double y = 0.0;
  double xx = 0.0;  // about the means
  double xy = 0.0;
  double yy = 0.0;
};

Sums SumsOf(const std::vector<double>& x, const std::vector<double>& y) {
  Sums s;
  s.n = static_cast<double>(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) {
    s.x += x[i] / s.n;
    s.y += y[i] / s.n;
  }
  for (std::size_t i = 0; i < x.size(); ++i) {
    s.xx += (x[i] - s.x) * (x[i] - s.x);
    s.xy += (x[i] - s.x) * (y[i] - s.y);
    s.yy += (y[i] - s.y) * (y[i] - s.y);
  }
  return s;
}

struct Logs {
  std::vector<double> x;
  std::vector<double> y;
};
Logs LogsOf(const std::vector<MassPoint>& points) {
  Logs out;
  for (const MassPoint& p : points) {
    out.x.push_back(std::log(p.mass));
    out.y.push_back(std::log(p.force));
  }
  return out;
}

void FitLeastSquares(const Sums& s, AllometricFit& fit) {
  const double dof = s.n - 2.0;
  AllometricLine& line = fit.least_squares;
  line.slope = s.xy / s.xx;
  line.intercept = s.y - line.slope * s.x;
  const double rest = std::max(0.0, s.yy - line.slope * s.xy) / dof;
  fit.residual_sd = std::sqrt(rest);
  fit.slope_se = std::sqrt(rest / s.xx);
  fit.intercept_se = std::sqrt(rest * (1.0 / s.n + s.x * s.x / s.xx));
  const double t = CoverageFactor(fit.level, dof);
  line.slope_lo = line.slope - t * fit.slope_se;
  line.slope_hi = line.slope + t * fit.slope_se;
}

void FitMajorAxis(const Sums& s, AllometricFit& fit) {
  AllometricLine& line = fit.major_axis;
  const double size = std::sqrt(s.yy / s.xx);
  line.slope = s.xy < 0.0 ? -size : size;
  line.intercept = s.y - line.slope * s.x;
  const double dof = s.n - 2.0;
  const double b = FQuantile(fit.level, 1.0, dof) * (1.0 - fit.r_squared) / dof;
  const double one = line.slope * (std::sqrt(b + 1.0) - std::sqrt(b));
  const double other = line.slope * (std::sqrt(b + 1.0) + std::sqrt(b));
  line.slope_lo = std::min(one, other);
  line.slope_hi = std::max(one, other);
}

}  // namespace

Expected<AllometricFit> FitAllometry(const std::vector<MassPoint>& points,
                                     double level) {
  if (points.size() < 3) {
    return BadInput("", "needs at least three dogs whose mass is known");
  }
  const Logs logs = LogsOf(points);
  const Sums s = SumsOf(logs.x, logs.y);
  if (!(s.xx > 0.0) || !std::isfinite(s.xx) || !std::isfinite(s.yy)) {
    return BadInput("", "needs dogs of different mass");
  }
  AllometricFit fit;
  fit.level = level;
  fit.dogs = points.size();
  fit.r = s.yy > 0.0 ? s.xy / std::sqrt(s.xx * s.yy) : 0.0;
  fit.r_squared = fit.r * fit.r;
  FitLeastSquares(s, fit);
  FitMajorAxis(s, fit);
  fit.lognormal_factor = std::exp(fit.residual_sd * fit.residual_sd / 2.0);
  fit.mean_ln_mass = s.x;
  fit.ln_mass_squares = s.xx;
  const auto [light, heavy] = std::minmax_element(
      points.begin(), points.end(),
      [](const MassPoint& a, const MassPoint& b) { return a.mass < b.mass; });
  fit.lightest = light->mass;
  fit.heaviest = heavy->mass;
  return fit;
}

ForceAtMass PredictForce(const AllometricFit& fit, double mass) {
  const double x = std::log(mass);
  const double y = fit.least_squares.intercept + fit.least_squares.slope * x;
  const double n = static_cast<double>(fit.dogs);
  const double away = x - fit.mean_ln_mass;
  const double lever = 1.0 / n + away * away / fit.ln_mass_squares;
  const double t = CoverageFactor(fit.level, n - 2.0);
  const double mean = t * fit.residual_sd * std::sqrt(lever);
  const double dog = t * fit.residual_sd * std::sqrt(1.0 + lever);
  return {std::exp(y), std::exp(y - mean), std::exp(y + mean),
          std::exp(y - dog), std::exp(y + dog)};
}

SizeAdjusted AdjustForSize(const AllometricFit& fit, const MassPoint& dog,
                           double reference) {
  const ForceAtMass typical = PredictForce(fit, dog.mass);
  SizeAdjusted out;
  out.ratio = dog.force / typical.force;
  out.force_at_reference = out.ratio * PredictForce(fit, reference).force;
  out.unusual = dog.force < typical.dog_lo || dog.force > typical.dog_hi;
  return out;
}

SlopeTest TestMajorAxisSlope(const std::vector<MassPoint>& points,
                             double slope) {
  Logs logs = LogsOf(points);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double x = logs.x[i];
    const double y = logs.y[i];
    logs.x[i] = y + slope * x;
    logs.y[i] = y - slope * x;
  }
  const Sums s = SumsOf(logs.x, logs.y);
  SlopeTest out;
  if (!(s.xx > 0.0) || !(s.yy > 0.0) || s.n < 3.0) return out;
  out.r = s.xy / std::sqrt(s.xx * s.yy);
  out.f = out.r * out.r / (1.0 - out.r * out.r) * (s.n - 2.0);
  out.p = FUpperTail(out.f, 1.0, s.n - 2.0);
  return out;
}

}  // namespace masseter
