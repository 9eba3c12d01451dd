#include "core/study/censored_model.h"

#include <Eigen/Dense>
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "core/study/minimise.h"

namespace masseter {
namespace {

using Vector = Eigen::VectorXd;

constexpr int kNodes = 25;
constexpr double kLogRoot2Pi = 0.91893853320467274178;

Eigen::Index Index(std::size_t i) { return static_cast<Eigen::Index>(i); }

// Gauss-Hermite nodes for the weight exp(-x^2), from the eigenvalues of the
// recurrence's matrix (Golub and Welsch, Math. Comput. 23 (1969) 221); weights
// already times exp(x^2).
struct Nodes {
  Vector x;
  Vector weight;

  Nodes() {
    Eigen::MatrixXd recurrence = Eigen::MatrixXd::Zero(kNodes, kNodes);
    for (int k = 1; k < kNodes; ++k) {
      recurrence(k, k - 1) = std::sqrt(0.5 * k);
      recurrence(k - 1, k) = recurrence(k, k - 1);
    }
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solver(recurrence);
    x = solver.eigenvalues();
    weight = std::sqrt(std::numbers::pi) *
             solver.eigenvectors().row(0).transpose().array().square() *
             x.array().square().exp();
  }
};

double LogNormalCdf(double z) {
  if (z > -35.0) return std::log(0.5 * std::erfc(-z / std::numbers::sqrt2));
  return -0.5 * z * z - kLogRoot2Pi - std::log(-z);
}

// Density over distribution function: the derivative of LogNormalCdf.
double NormalHazard(double z) {
  return std::exp(-0.5 * z * z - kLogRoot2Pi - LogNormalCdf(z));
}

struct Value {
  Eigen::Index row = 0;
  double y = 0.0;
  double known2 = 0.0;
  bool bound = false;
};

// What one value adds at a linear predictor: log f, its derivatives by the
// predictor (first, second) and by s.
struct Term {
  double log_f = 0.0;
  double slope = 0.0;
  double bend = 0.0;
  double by_s = 0.0;
};

Term TermOf(const Value& v, double mean, double s) {
  const double variance = s * s + v.known2;
  const double sd = std::sqrt(variance);
  Term t;
  if (v.bound) {
    const double z = (mean - v.y) / sd;
    const double hazard = NormalHazard(z);
    t.log_f = LogNormalCdf(z);
    t.slope = hazard / sd;
    t.bend = -hazard * (hazard + z) / variance;
    t.by_s = -hazard * z * s / variance;
  } else {
    const double z = (v.y - mean) / sd;
    t.log_f = -0.5 * z * z - std::log(sd) - kLogRoot2Pi;
    t.slope = z / sd;
    t.bend = -1.0 / variance;
    t.by_s = (z * z - 1.0) * s / variance;
  }
  return t;
}

// One level: values that share an effect u = s_d b, b standard normal.
struct LevelSum {
  double log_l = 0.0;
  double mean_effect = 0.0;  // of u, given the values
};

class CensoredLikelihood {
 public:
  explicit CensoredLikelihood(const MixedData& data);

  // Variables: coefficients of the centred columns, s, s_d. -log L.
  double At(const std::vector<double>& v, std::vector<double>* gradient);
  std::vector<double> EffectsAt(const std::vector<double>& v);

  std::size_t columns() const { return static_cast<std::size_t>(x_.cols()); }
  std::vector<double> Start() const;
  // Coefficients and their covariance in the caller's columns.
  void Fill(const std::vector<double>& v, const Eigen::MatrixXd& cov,
            MixedFit& fit) const;
  double unit() const { return unit_; }

 private:
  double Mode(const std::vector<Value>& values, const Vector& fixed, double s,
              double s_d, double* width) const;
  LevelSum Level(const std::vector<Value>& values, const Vector& fixed,
                 double s, double s_d, Vector* gradient) const;

  Eigen::MatrixXd x_;
  Vector mean_;
  Vector scale_;
  double y_mean_ = 0.0;
  double unit_ = 1.0;  // y is in units of its own spread
  std::vector<std::vector<Value>> levels_;
  Nodes nodes_;
};

CensoredLikelihood::CensoredLikelihood(const MixedData& data) {
  const Eigen::Index n = Index(data.values());
  const Eigen::Index p = Index(data.columns());
  x_.resize(n, p);
  mean_ = Vector::Zero(p);
  scale_ = Vector::Ones(p);
  for (Eigen::Index k = 0; k < p; ++k) {
    x_.col(k) =
        Eigen::Map<const Vector>(data.x[static_cast<std::size_t>(k)].data(), n);
    if (k == 0) continue;
    mean_[k] = x_.col(k).mean();
    x_.col(k).array() -= mean_[k];
    scale_[k] = x_.col(k).norm() / std::sqrt(static_cast<double>(n));
    x_.col(k) /= scale_[k];
  }
  const Eigen::Map<const Vector> y(data.y.data(), n);
  y_mean_ = y.mean();
  unit_ = std::sqrt((y.array() - y_mean_).square().mean());
  if (!(unit_ > 0.0)) unit_ = 1.0;
  levels_.resize(data.random[0].levels);
  for (std::size_t i = 0; i < data.values(); ++i) {
    const double known = data.HasKnownSd() ? data.known_sd[i] / unit_ : 0.0;
    levels_[data.random[0].level[i]].push_back(
        {Index(i), (data.y[i] - y_mean_) / unit_, known * known,
         !data.at_least.empty() && data.at_least[i] != 0});
  }
}

std::vector<double> CensoredLikelihood::Start() const {
  std::vector<double> out(columns() + 2, 0.0);
  out[columns()] = 0.7;
  out[columns() + 1] = levels_.size() > 1 ? 0.7 : 0.0;
  return out;
}

// Newton's steps to the highest point in b; the function is concave.
double CensoredLikelihood::Mode(const std::vector<Value>& values,
                                const Vector& fixed, double s, double s_d,
                                double* width) const {
  double b = 0.0;
  for (int step = 0; step < 60; ++step) {
    double slope = -b;
    double bend = -1.0;
    for (const Value& v : values) {
      const Term t = TermOf(v, fixed[v.row] + s_d * b, s);
      slope += s_d * t.slope;
      bend += s_d * s_d * t.bend;
    }
    const double move = std::clamp(-slope / bend, -3.0, 3.0);
    b += move;
    *width = 1.0 / std::sqrt(-bend);
    if (std::abs(move) < 1e-9 * *width) break;
  }
  return b;
}

LevelSum CensoredLikelihood::Level(const std::vector<Value>& values,
                                   const Vector& fixed, double s, double s_d,
                                   Vector* gradient) const {
  const Eigen::Index p = x_.cols();
  double width = 1.0;
  const double mode = Mode(values, fixed, s, s_d, &width);
  Vector log_term(kNodes);
  Eigen::MatrixXd score = Eigen::MatrixXd::Zero(p + 2, kNodes);
  Vector effect(kNodes);
  for (int k = 0; k < kNodes; ++k) {
    const double b = mode + std::numbers::sqrt2 * width * nodes_.x[k];
    effect[k] = s_d * b;
    log_term[k] = -0.5 * b * b - kLogRoot2Pi + std::log(nodes_.weight[k]);
    for (const Value& v : values) {
      const Term t = TermOf(v, fixed[v.row] + s_d * b, s);
      log_term[k] += t.log_f;
      if (gradient == nullptr) continue;
      score.col(k).head(p) += t.slope * x_.row(v.row).transpose();
      score(p, k) += t.by_s;
      score(p + 1, k) += t.slope * b;
    }
  }
  const double top = log_term.maxCoeff();
  const Vector share = (log_term.array() - top).exp();
  const double sum = share.sum();
  if (gradient != nullptr) *gradient += score * share / sum;
  return {top + std::log(sum * std::numbers::sqrt2 * width),
          effect.dot(share) / sum};
}

double CensoredLikelihood::At(const std::vector<double>& v,
                              std::vector<double>* gradient) {
  const Eigen::Index p = x_.cols();
  const Vector beta = Eigen::Map<const Vector>(v.data(), p);
  const Vector fixed = x_ * beta;
  const double s = std::abs(v[columns()]);
  const double s_d = std::abs(v[columns() + 1]);
  Vector sum = Vector::Zero(p + 2);
  double log_l = 0.0;
  for (const std::vector<Value>& level : levels_) {
    log_l += Level(level, fixed, s, s_d, gradient ? &sum : nullptr).log_l;
  }
  if (gradient != nullptr) {
    for (Eigen::Index k = 0; k < p + 2; ++k) {
      (*gradient)[static_cast<std::size_t>(k)] = -sum[k];
    }
    if (v[columns()] < 0.0) (*gradient)[columns()] *= -1.0;
    if (v[columns() + 1] < 0.0) (*gradient)[columns() + 1] *= -1.0;
    if (levels_.size() == 1) (*gradient)[columns() + 1] = 0.0;
  }
  return std::isfinite(log_l) ? -log_l
                              : std::numeric_limits<double>::infinity();
}

std::vector<double> CensoredLikelihood::EffectsAt(
    const std::vector<double>& v) {
  const Vector fixed = x_ * Eigen::Map<const Vector>(v.data(), x_.cols());
  std::vector<double> out;
  for (const std::vector<Value>& level : levels_) {
    out.push_back(unit_ * Level(level, fixed, std::abs(v[columns()]),
                                std::abs(v[columns() + 1]), nullptr)
                              .mean_effect);
  }
  return out;
}

void CensoredLikelihood::Fill(const std::vector<double>& v,
                              const Eigen::MatrixXd& cov, MixedFit& fit) const {
  const Eigen::Index p = x_.cols();
  Eigen::MatrixXd t = Eigen::MatrixXd::Zero(p, p);
  t(0, 0) = unit_;
  for (Eigen::Index k = 1; k < p; ++k) {
    t(k, k) = unit_ / scale_[k];
    t(0, k) = -unit_ * mean_[k] / scale_[k];
  }
  Vector beta = t * Eigen::Map<const Vector>(v.data(), p);
  beta[0] += y_mean_;
  fit.beta.assign(beta.begin(), beta.end());
  const Eigen::MatrixXd out = t * cov * t.transpose();
  fit.beta_cov.assign(out.data(), out.data() + out.size());
}

// Inverse of the second derivatives, by differences of the gradient, of the
// variables that are not held.
Eigen::MatrixXd CovarianceAt(CensoredLikelihood& likelihood,
                             const std::vector<double>& at) {
  const std::size_t p = likelihood.columns();
  const std::size_t n = at[p + 1] > 0.0 ? p + 2 : p + 1;
  Eigen::MatrixXd h(Index(n), Index(n));
  std::vector<double> up(at.size());
  std::vector<double> down(at.size());
  for (std::size_t k = 0; k < n; ++k) {
    std::vector<double> moved = at;
    moved[k] = at[k] + 1e-4;
    likelihood.At(moved, &up);
    moved[k] = at[k] - 1e-4;
    likelihood.At(moved, &down);
    for (std::size_t j = 0; j < n; ++j) {
      h(Index(j), Index(k)) = (up[j] - down[j]) / 2e-4;
    }
  }
  const Eigen::MatrixXd even = 0.5 * (h + h.transpose());
  return even.inverse().topLeftCorner(Index(p), Index(p));
}

}  // namespace

Expected<MixedFit> FitCensored(const MixedData& data) {
  if (data.values() - data.LowerBounds() <= data.columns()) {
    return BadInput("", "has too few values that are more than lower bounds");
  }
  CensoredLikelihood likelihood(data);
  const auto f = [&likelihood](const std::vector<double>& v,
                               std::vector<double>* gradient) {
    return likelihood.At(v, gradient);
  };
  const Minimum found = Minimise(f, likelihood.Start(), 1e-7);
  std::vector<double> at = found.x;
  const std::size_t p = likelihood.columns();
  at[p] = std::abs(at[p]);
  at[p + 1] = std::abs(at[p + 1]);
  if (at[p + 1] < 0.02) {
    std::vector<double> without = at;
    without[p + 1] = 0.0;
    const double value = likelihood.At(without, nullptr);
    if (at[p + 1] < 1e-4 || value <= found.value + 1e-9) at = without;
  }
  MixedFit out;
  out.likelihood = Likelihood::kFull;
  const double unit = likelihood.unit();
  out.criterion = 2.0 * likelihood.At(at, nullptr) +
                  2.0 * std::log(unit) *
                      static_cast<double>(data.values() - data.LowerBounds());
  out.residual = unit * unit * at[p] * at[p];
  out.variance = {unit * unit * at[p + 1] * at[p + 1]};
  out.singular = at[p + 1] == 0.0;
  out.separable = data.random[0].levels > 1;
  out.effect = {likelihood.EffectsAt(at)};
  likelihood.Fill(at, CovarianceAt(likelihood, at), out);
  out.evaluations = static_cast<std::size_t>(found.steps);
  if (!std::isfinite(out.criterion) || !(out.residual > 1e-16 * unit * unit)) {
    return BadInput("",
                    "has no scatter to judge by once its lower bounds are "
                    "taken for what they are");
  }
  return out;
}

}  // namespace masseter
