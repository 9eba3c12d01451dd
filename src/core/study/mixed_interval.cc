#include "core/study/mixed_interval.h"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <functional>
#include <limits>

#include "core/metrology/student_t.h"
#include "core/study/minimise.h"
#include "core/study/mixed_engine.h"
#include "core/study/mixed_groups.h"

namespace masseter {
namespace {

std::vector<double> SdsOf(const MixedFit& fit) {
  std::vector<double> out = {std::sqrt(fit.residual)};
  for (const double v : fit.variance) out.push_back(std::sqrt(v));
  return out;
}

std::vector<std::size_t> AboveZero(const std::vector<double>& sds) {
  std::vector<std::size_t> out;
  for (std::size_t k = 0; k < sds.size(); ++k) {
    if (sds[k] > 0.0) out.push_back(k);
  }
  return out;
}

// The root of a monotone function between two points of different sign.
double Root(const std::function<double(double)>& f, double low, double high) {
  const double at_low = f(low);
  const double at_high = f(high);
  if (at_low == 0.0) return low;
  if (at_high == 0.0) return high;
  std::uintmax_t steps = 60;
  const auto [a, b] = boost::math::tools::toms748_solve(
      f, low, high, at_low, at_high,
      boost::math::tools::eps_tolerance<double>(30), steps);
  return 0.5 * (a + b);
}

// The criterion with one standard deviation held and the others at their best,
// starting from where they were last.
class Profile {
 public:
  Profile(const MixedData& data, const MixedFit& fit, std::size_t which)
      : deviance_(data, fit.likelihood), which_(which), sds_(SdsOf(fit)) {
    unit_ = 0.0;
    for (const double s : sds_) unit_ += s * s;
    unit_ = std::sqrt(unit_);
    for (std::size_t k = 0; k < sds_.size(); ++k) {
      // At 0 the criterion is flat; a component may grow from here.
      sds_[k] = std::max(sds_[k] / unit_, 0.05);
      held_.push_back(k == which);
    }
    if (!fit.separable) {
      held_[1] = true;
      sds_[1] = 0.0;
    }
  }

  double At(double sd) {
    sds_[which_] = sd / unit_;
    std::vector<double> free;
    for (std::size_t k = 0; k < sds_.size(); ++k) {
      if (!held_[k]) free.push_back(std::max(std::abs(sds_[k]), 0.01));
    }
    const auto f = [this](const std::vector<double>& x) {
      std::size_t at = 0;
      for (std::size_t k = 0; k < sds_.size(); ++k) {
        if (!held_[k]) sds_[k] = x[at++];
      }
      std::vector<double> all = sds_;
      for (double& s : all) s *= unit_;
      return deviance_.At(all);
    };
    if (free.empty()) return f(free);
    const Minimum m = Minimise(WithDifferences(f), free, 1e-5, 100);
    f(m.x);
    return m.value;
  }

 private:
  MixedDeviance deviance_;
  std::size_t which_;
  std::vector<double> sds_;  // over unit_
  std::vector<bool> held_;
  double unit_ = 1.0;
};

Eigen::MatrixXd CovAt(MixedDeviance& deviance, const std::vector<double>& s) {
  deviance.At(s);
  return deviance.CoefficientCov();
}

std::vector<double> Flat(const Eigen::MatrixXd& m) {
  return std::vector<double>(m.data(), m.data() + m.size());
}

double Quadratic(const std::vector<double>& m, std::span<const double> a) {
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    for (std::size_t j = 0; j < a.size(); ++j) {
      sum += a[i] * a[j] * m[i * a.size() + j];
    }
  }
  return sum;
}

// Second differences of the criterion in the standard deviations named.
Eigen::MatrixXd Hessian(MixedDeviance& deviance, std::vector<double> s,
                        const std::vector<std::size_t>& which) {
  const auto n = static_cast<Eigen::Index>(which.size());
  Eigen::MatrixXd h(n, n);
  const auto at = [&](std::size_t i, double di, std::size_t j, double dj) {
    std::vector<double> moved = s;
    moved[which[i]] += di * 1e-3 * s[which[i]];
    moved[which[j]] += dj * 1e-3 * s[which[j]];
    return deviance.At(moved);
  };
  for (std::size_t i = 0; i < which.size(); ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      const double step = 1e-6 * s[which[i]] * s[which[j]];
      const double cross = (at(i, 1, j, 1) - at(i, 1, j, -1) - at(i, -1, j, 1) +
                            at(i, -1, j, -1)) /
                           (4.0 * step);
      h(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j)) = cross;
      h(static_cast<Eigen::Index>(j), static_cast<Eigen::Index>(i)) = cross;
    }
  }
  return h;
}

}  // namespace

StudyInterval ProfileSd(const MixedData& data, const MixedFit& fit,
                        std::size_t which, double level) {
  const std::vector<double> sds = SdsOf(fit);
  const double allowed = ChiSquaredQuantile(level, 1.0);
  double unit = 0.0;
  for (const double s : sds) unit += s * s;
  unit = std::sqrt(unit);
  Profile profile(data, fit, which);
  const auto above = [&](double sd) {
    return profile.At(sd) - fit.criterion - allowed;
  };
  StudyInterval out{0.0, std::numeric_limits<double>::infinity()};
  const double least = which == 0 && !data.HasKnownSd() ? 1e-6 * unit : 0.0;
  if (sds[which] > least && above(least) > 0.0) {
    out.lo = Root(above, least, sds[which]);
  }
  double low = std::max(sds[which], 1e-3 * unit);
  if (above(low) > 0.0) return {out.lo, Root(above, sds[which], low)};
  for (double high = 1.5 * low; high < 1e6 * unit; low = high, high *= 1.6) {
    if (above(high) > 0.0) {
      out.hi = Root(above, low, high);
      break;
    }
  }
  return out;
}

std::vector<StudyInterval> CurvatureSds(const MixedData& data,
                                        const MixedFit& fit, double level) {
  const std::vector<double> sds = SdsOf(fit);
  const std::vector<std::size_t> which = AboveZero(sds);
  MixedDeviance deviance(data, fit.likelihood);
  const Eigen::MatrixXd cov = 2.0 * Hessian(deviance, sds, which).inverse();
  const double reach = NormalQuantile(0.5 + level / 2.0);
  std::vector<StudyInterval> out(
      sds.size(), {0.0, std::numeric_limits<double>::infinity()});
  for (std::size_t k = 0; k < which.size(); ++k) {
    const auto at = static_cast<Eigen::Index>(k);
    const double sd = sds[which[k]];
    const double relative = std::sqrt(cov(at, at)) / sd;
    out[which[k]] = {sd * std::exp(-reach * relative),
                     sd * std::exp(reach * relative)};
  }
  return out;
}

std::optional<StudyInterval> ExactIcc(const MixedData& data, double level) {
  if (data.random.size() != 1 || data.HasKnownSd() || data.LowerBounds() > 0) {
    return std::nullopt;
  }
  GroupEngine groups(data);
  const GroupEngine::Within within = groups.WithinLevels();
  if (!(within.dof > 0.0) || !(within.ss > 0.0) ||
      data.random[0].levels + within.rank <= data.columns()) {
    return std::nullopt;
  }
  const double between_dof =
      static_cast<double>(data.random[0].levels + within.rank - data.columns());
  // Falls as the ICC grows; F distributed at the true one.
  const auto f = [&](double icc) {
    const double theta = std::sqrt(icc / (1.0 - icc));
    const double rss = groups.At(std::span(&theta, 1)).rss;
    return (rss - within.ss) / between_dof / (within.ss / within.dof);
  };
  constexpr double kMost = 1.0 - 1e-12;
  const auto bound = [&](double p) {
    const double want = FQuantile(p, between_dof, within.dof);
    if (f(0.0) <= want) return 0.0;
    if (f(kMost) >= want) return 1.0;
    return Root([&](double icc) { return f(icc) - want; }, 0.0, kMost);
  };
  return StudyInterval{bound(0.5 + level / 2.0), bound(0.5 - level / 2.0)};
}

CoefficientDof::CoefficientDof(const MixedData& data, const MixedFit& fit)
    : columns_(data.columns()),
      residual_dof_(static_cast<double>(data.values() - data.columns())),
      cov_(fit.beta_cov) {
  const std::vector<double> sds = SdsOf(fit);
  const std::vector<std::size_t> which = AboveZero(sds);
  MixedDeviance deviance(data, fit.likelihood);
  for (const std::size_t k : which) {
    std::vector<double> up = sds;
    std::vector<double> down = sds;
    const double step = 1e-3 * sds[k];
    up[k] += step;
    down[k] -= step;
    gradient_.push_back(
        Flat((CovAt(deviance, up) - CovAt(deviance, down)) / (2.0 * step)));
  }
  // Asymptotic covariance of the estimates: twice the inverse of the
  // criterion's second derivatives.
  sd_cov_ = Flat(2.0 * Hessian(deviance, sds, which).inverse());
}

double CoefficientDof::Of(std::span<const double> a) const {
  const double variance = Quadratic(cov_, a);
  const std::size_t n = gradient_.size();
  double spread = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      spread += Quadratic(gradient_[i], a) * Quadratic(gradient_[j], a) *
                sd_cov_[i * n + j];
    }
  }
  const double dof = 2.0 * variance * variance / spread;
  if (!(dof > 0.0)) return residual_dof_;
  return std::clamp(dof, 1.0, std::max(residual_dof_, 1.0));
}

}  // namespace masseter
