#include "core/study/mixed_draws.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <utility>

#include "core/base/random_draws.h"

namespace masseter {
namespace {

using Vector = Eigen::VectorXd;

Eigen::Index Index(std::size_t i) { return static_cast<Eigen::Index>(i); }

// Standard normal above `low`: by trial where that is likely, else from an
// exponential (Robert, Stat. Comput. 5 (1995) 121).
double NormalAbove(RandomNumbers& random, double low) {
  if (!(low < 1e8)) return low;  // nothing above can be told from it
  if (low < 0.45) {
    while (true) {
      const double z = random.Normal();
      if (z > low) return z;
    }
  }
  const double rate = 0.5 * (low + std::sqrt(low * low + 4.0));
  while (true) {
    const double z = low - std::log(random.Uniform()) / rate;
    if (random.Uniform() <= std::exp(-0.5 * (z - rate) * (z - rate))) return z;
  }
}

// No variance falls below this share of the whole.
constexpr double kLeastShare = 1e-12;

struct FactorState {
  Vector count;  // values of each level
  Vector effect;
  double variance = 0.0;
  double wide = 0.0;   // square of the prior's scale
  double power = 0.0;  // of the standard deviation, in the prior
  bool held = false;   // at 0
};

class Sampler {
 public:
  Sampler(const MixedData& data, const MixedFit& fit, std::uint64_t seed);
  void Sweep();
  double Predict(const DrawRequest::Target& target) const;
  double residual() const { return residual_; }
  double variance(std::size_t k) const { return factors_[k].variance; }
  double power() const { return factors_[0].power; }

 private:
  std::size_t Level(std::size_t k, std::size_t i) const {
    return data_.random[k].level[i];
  }
  double Effects(std::size_t i, std::size_t from) const;
  void Centre(const MixedFit& fit);
  void JumpBounded();
  void FillHidden();
  void DrawCoefficientsAndDogs();
  void DrawFactor(std::size_t k);
  void Shift(std::size_t k);
  void Stretch(std::size_t k);
  void DrawVariances();
  double Prior(const FactorState& f, double variance) const {
    return 1.0 / (1.0 + variance / f.wide);
  }

  const MixedData& data_;
  RandomNumbers random_;
  Eigen::MatrixXd x_;  // columns x values, centred and scaled
  Vector mean_;
  Vector scale_;
  Vector y_;      // given, centred; drawn anew where it is a lower bound
  Vector true_;   // without the instrument's error
  Vector fixed_;  // x' beta
  Vector beta_;
  std::vector<FactorState> factors_;
  Eigen::MatrixXd level_mean_;  // columns x levels of the first factor
  Eigen::MatrixXd within_;      // columns' squares within those levels
  double y_mean_ = 0.0;
  // Levels of the first factor with nothing but bounds, and their values.
  std::map<std::size_t, std::vector<std::size_t>> bounded_;
  double least_scale_ = 1.0;
  // Where the rest of the model, or the instrument, may explain everything,
  // log s has no lower end: flat in s there.
  bool flat_residual_ = false;
  double residual_ = 0.0;
};

Sampler::Sampler(const MixedData& data, const MixedFit& fit, std::uint64_t seed)
    : data_(data), random_(seed) {
  Centre(fit);
  double whole = fit.residual;
  for (const double v : fit.variance) whole += v;
  whole = std::max(whole,
                   0.1 * y_.squaredNorm() / static_cast<double>(data.values()));
  for (const double m : data.known_sd) {
    whole = std::max(whole, 0.01 * m * m);
  }
  if (!(whole > 0.0)) whole = 1.0;
  least_scale_ = whole;
  std::size_t explained = data.columns();
  for (const RandomFactor& f : data.random) explained += f.levels - 1;
  flat_residual_ =
      data.HasKnownSd() || data.values() - data.LowerBounds() <= explained;
  residual_ = std::max(fit.residual, 1e-4 * whole);
  for (std::size_t k = 0; k < data.random.size(); ++k) {
    FactorState f;
    f.held = k == 0 && !fit.separable;
    f.count = Vector::Zero(Index(data.random[k].levels));
    for (const std::size_t l : data.random[k].level) f.count[Index(l)] += 1.0;
    f.effect = Vector::Zero(f.count.size());
    f.variance = f.held ? 0.0 : std::max(fit.variance[k], 0.05 * whole);
    f.wide = (k == 0 ? 25.0 : 1.0) * whole;
    // Three levels and fewer leave the spread without an upper end as it is.
    f.power = k == 0 && data.random[k].levels > 3 ? 0.5 : 0.0;
    factors_.push_back(std::move(f));
  }
  std::vector<char> full(data.random[0].levels, 0);
  for (std::size_t i = 0; i < data.values(); ++i) {
    const bool bound = !data.at_least.empty() && data.at_least[i] != 0;
    if (!bound) full[Level(0, i)] = 1;
  }
  for (std::size_t i = 0; i < data.values(); ++i) {
    if (full[Level(0, i)] == 0) bounded_[Level(0, i)].push_back(i);
  }
  const Vector& count = factors_[0].count;
  level_mean_ = Eigen::MatrixXd::Zero(x_.rows(), count.size());
  for (std::size_t i = 0; i < data.values(); ++i) {
    level_mean_.col(Index(Level(0, i))) += x_.col(Index(i));
  }
  level_mean_ = level_mean_ * count.cwiseInverse().asDiagonal();
  Eigen::MatrixXd inside = x_;
  for (std::size_t i = 0; i < data.values(); ++i) {
    inside.col(Index(i)) -= level_mean_.col(Index(Level(0, i)));
  }
  within_ = inside * inside.transpose();
}

void Sampler::Centre(const MixedFit& fit) {
  const Eigen::Index n = Index(data_.values());
  const Eigen::Index p = Index(data_.columns());
  x_.resize(p, n);
  mean_ = Vector::Zero(p);
  scale_ = Vector::Ones(p);
  for (Eigen::Index k = 0; k < p; ++k) {
    x_.row(k) = Eigen::Map<const Eigen::RowVectorXd>(
        data_.x[static_cast<std::size_t>(k)].data(), n);
    if (k == 0) continue;
    mean_[k] = x_.row(k).mean();
    x_.row(k).array() -= mean_[k];
    scale_[k] = x_.row(k).norm() / std::sqrt(static_cast<double>(n));
    x_.row(k) /= scale_[k];
  }
  y_ = Eigen::Map<const Vector>(data_.y.data(), n);
  y_mean_ = y_.mean();
  y_.array() -= y_mean_;
  true_ = y_;
  beta_ = Vector::Zero(p);
  beta_[0] = fit.beta[0] - y_mean_;
  for (Eigen::Index k = 1; k < p; ++k) {
    const double b = fit.beta[static_cast<std::size_t>(k)];
    beta_[k] = b * scale_[k];
    beta_[0] += b * mean_[k];
  }
  fixed_ = x_.transpose() * beta_;
}

double Sampler::Effects(std::size_t i, std::size_t from) const {
  double sum = 0.0;
  for (std::size_t k = from; k < factors_.size(); ++k) {
    sum += factors_[k].effect[Index(Level(k, i))];
  }
  return sum;
}

// A level of nothing but bounds would creep by its scatter; here it jumps over
// all that its effect's own spread allows, its bounds integrated (they are
// drawn anew right after).
void Sampler::JumpBounded() {
  FactorState& dogs = factors_[0];
  if (bounded_.empty() || dogs.held) return;
  const double sd = std::sqrt(dogs.variance);
  for (const auto& bounded : bounded_) {
    double& effect_now = dogs.effect[Index(bounded.first)];
    const std::vector<std::size_t>& values = bounded.second;
    double least = -std::numeric_limits<double>::infinity();
    for (const std::size_t i : values) {
      const double known = data_.HasKnownSd() ? data_.known_sd[i] : 0.0;
      const double scatter = std::sqrt(residual_ + known * known);
      least = std::max(least, y_[Index(i)] - fixed_[Index(i)] - Effects(i, 1) -
                                  5.0 * scatter);
    }
    const double proposed = sd * NormalAbove(random_, least / sd);
    const auto log_chance = [&](double effect) {
      double sum = 0.0;
      for (const std::size_t i : values) {
        const double known = data_.HasKnownSd() ? data_.known_sd[i] : 0.0;
        const double mean = fixed_[Index(i)] + Effects(i, 1) + effect;
        sum += std::log(
            0.5 * std::erfc((y_[Index(i)] - mean) /
                            std::sqrt(2.0 * (residual_ + known * known))));
      }
      return sum;
    };
    const double now = log_chance(effect_now);
    if (std::log(random_.Uniform()) <= log_chance(proposed) - now ||
        !std::isfinite(now)) {
      effect_now = proposed;
    }
  }
}

// Lower bounds as what they may have been, and values without the instrument.
void Sampler::FillHidden() {
  for (std::size_t i = 0; i < data_.values(); ++i) {
    const bool bound = !data_.at_least.empty() && data_.at_least[i] != 0;
    const double known = data_.HasKnownSd() ? data_.known_sd[i] : 0.0;
    if (!bound && known == 0.0) continue;
    const double mean = fixed_[Index(i)] + Effects(i, 0);
    double value = y_[Index(i)];
    const double whole = residual_ + known * known;
    if (bound) {
      const double sd = std::sqrt(whole);
      value = mean + sd * NormalAbove(random_, (value - mean) / sd);
    }
    if (known > 0.0) {
      const double share = residual_ / whole;
      value = mean + share * (value - mean) +
              std::sqrt(share) * known * random_.Normal();
    }
    true_[Index(i)] = value;
  }
}

void Sampler::DrawCoefficientsAndDogs() {
  FactorState& dogs = factors_[0];
  const double ratio = dogs.variance / residual_;
  Vector level = Vector::Zero(dogs.count.size());
  Vector cross = Vector::Zero(x_.rows());
  for (std::size_t i = 0; i < data_.values(); ++i) {
    const double t = true_[Index(i)] - Effects(i, 1);
    level[Index(Level(0, i))] += t;
    cross += t * x_.col(Index(i));
  }
  // c_j of mixed_groups.h; level sums become means on the way.
  const Vector c = dogs.count.array() / (1.0 + ratio * dogs.count.array());
  level = level.array() / dogs.count.array();
  cross += level_mean_ * ((c - dogs.count).array() * level.array()).matrix();
  const Eigen::MatrixXd moments =
      within_ + level_mean_ * c.asDiagonal() * level_mean_.transpose();
  const Eigen::LLT<Eigen::MatrixXd> llt(moments);
  Vector noise(x_.rows());
  for (double& z : noise) z = std::sqrt(residual_) * random_.Normal();
  beta_ = llt.solve(cross) + llt.matrixU().solve(noise);
  fixed_ = x_.transpose() * beta_;
  if (dogs.held) return;
  for (Eigen::Index j = 0; j < level.size(); ++j) {
    const double left = level[j] - level_mean_.col(j).dot(beta_);
    const double shrink = 1.0 / (1.0 + ratio * dogs.count[j]);
    dogs.effect[j] = ratio * dogs.count[j] * shrink * left +
                     std::sqrt(dogs.variance * shrink) * random_.Normal();
  }
}

void Sampler::DrawFactor(std::size_t k) {
  FactorState& f = factors_[k];
  Vector sum = Vector::Zero(f.count.size());
  for (std::size_t i = 0; i < data_.values(); ++i) {
    const Eigen::Index l = Index(Level(k, i));
    sum[l] += true_[Index(i)] - fixed_[Index(i)] - Effects(i, 0) + f.effect[l];
  }
  for (Eigen::Index l = 0; l < sum.size(); ++l) {
    const double precision = f.count[l] / residual_ + 1.0 / f.variance;
    f.effect[l] = sum[l] / residual_ / precision +
                  random_.Normal() / std::sqrt(precision);
  }
  Shift(k);
}

// All effects of a factor against the intercept: the data do not notice.
void Sampler::Shift(std::size_t k) {
  FactorState& f = factors_[k];
  const double shift =
      -f.effect.mean() +
      std::sqrt(f.variance / static_cast<double>(f.effect.size())) *
          random_.Normal();
  f.effect.array() += shift;
  beta_[0] -= shift;
  fixed_.array() -= shift;
}

// Effects and their spread stretched together.
void Sampler::Stretch(std::size_t k) {
  FactorState& f = factors_[k];
  double own = 0.0;
  double cross = 0.0;
  for (std::size_t i = 0; i < data_.values(); ++i) {
    const double u = f.effect[Index(Level(k, i))];
    const double rest = true_[Index(i)] - fixed_[Index(i)] - Effects(i, 0) + u;
    own += u * u;
    cross += u * rest;
  }
  if (!(own > 0.0)) return;
  const double by = cross / own + std::sqrt(residual_ / own) * random_.Normal();
  const double variance = by * by * f.variance;
  const double gain = std::pow(std::abs(by), f.power) * Prior(f, variance) /
                      Prior(f, f.variance);
  if (random_.Uniform() > gain) return;
  f.effect *= by;
  f.variance = variance;
}

void Sampler::DrawVariances() {
  double squares = 0.0;
  for (std::size_t i = 0; i < data_.values(); ++i) {
    const double e = true_[Index(i)] - fixed_[Index(i)] - Effects(i, 0);
    squares += e * e;
  }
  const double n = static_cast<double>(data_.values());
  const double dof = flat_residual_ ? n - 1.0 : n;
  residual_ =
      std::max(squares / random_.ChiSquared(dof), kLeastShare * least_scale_);
  for (FactorState& f : factors_) {
    if (f.held) continue;
    const double levels = static_cast<double>(f.effect.size());
    // Proposed by the flat prior, accepted by the other.
    const double variance = std::max(
        f.effect.squaredNorm() / random_.ChiSquared(levels - 1.0 - f.power),
        kLeastShare * f.wide);
    if (random_.Uniform() * Prior(f, f.variance) > Prior(f, variance)) continue;
    f.variance = variance;
  }
}

void Sampler::Sweep() {
  JumpBounded();
  FillHidden();
  DrawCoefficientsAndDogs();
  for (std::size_t k = 1; k < factors_.size(); ++k) DrawFactor(k);
  for (std::size_t k = 0; k < factors_.size(); ++k) {
    if (!factors_[k].held) Stretch(k);
  }
  DrawVariances();
}

double Sampler::Predict(const DrawRequest::Target& target) const {
  const double first = target.row[0];
  double sum = first * (y_mean_ + beta_[0]);
  for (std::size_t k = 1; k < target.row.size(); ++k) {
    const Eigen::Index at = Index(k);
    sum += beta_[at] * (target.row[k] - first * mean_[at]) / scale_[at];
  }
  if (target.level != DrawRequest::kNoLevel) {
    sum += factors_[0].effect[Index(target.level)];
  }
  return sum;
}

}  // namespace

std::vector<double> MixedDraws::Of(std::size_t t) const {
  std::vector<double> out(count);
  for (std::size_t d = 0; d < count; ++d) out[d] = Target(d, t);
  return out;
}

MixedDraws DrawMixed(const MixedData& data, const MixedFit& fit,
                     const DrawRequest& request) {
  Sampler sampler(data, fit, request.seed);
  for (std::size_t i = 0; i < request.first; ++i) sampler.Sweep();
  MixedDraws out;
  out.count = request.draws;
  out.power = sampler.power();
  out.targets = request.targets.size();
  out.target.reserve(out.count * out.targets);
  out.variance.resize(data.random.size());
  for (std::size_t d = 0; d < request.draws; ++d) {
    sampler.Sweep();
    for (const DrawRequest::Target& t : request.targets) {
      out.target.push_back(sampler.Predict(t));
    }
    out.residual.push_back(sampler.residual());
    for (std::size_t k = 0; k < out.variance.size(); ++k) {
      out.variance[k].push_back(sampler.variance(k));
    }
  }
  return out;
}

std::vector<double> IccDraws(const MixedDraws& draws) {
  std::vector<double> out;
  for (std::size_t d = 0; d < draws.count; ++d) {
    double sum = draws.residual[d];
    for (const std::vector<double>& v : draws.variance) sum += v[d];
    out.push_back(draws.variance[0][d] / sum);
  }
  return out;
}

StudyInterval IccInterval(const MixedDraws& draws, double level) {
  const std::vector<double> icc = IccDraws(draws);
  std::vector<std::pair<double, double>> weighted;
  double all = 0.0;
  for (std::size_t d = 0; d < draws.count; ++d) {
    const double weight = std::pow(draws.variance[0][d], -0.5 * draws.power);
    weighted.emplace_back(icc[d], weight);
    all += weight;
  }
  std::sort(weighted.begin(), weighted.end());
  const auto at = [&](double p) {
    double sum = 0.0;
    for (const auto& [value, weight] : weighted) {
      sum += weight;
      if (sum >= p * all) return value;
    }
    return weighted.back().first;
  };
  return {at(0.5 - level / 2.0), at(0.5 + level / 2.0)};
}

double QuantileOf(std::vector<double> values, double p) {
  const double at = p * (static_cast<double>(values.size()) - 1.0);
  const auto low = static_cast<std::ptrdiff_t>(at);
  std::nth_element(values.begin(), values.begin() + low, values.end());
  const double here = values[static_cast<std::size_t>(low)];
  if (low + 1 == static_cast<std::ptrdiff_t>(values.size())) return here;
  const double next = *std::min_element(values.begin() + low + 1, values.end());
  return here + (at - static_cast<double>(low)) * (next - here);
}

}  // namespace masseter
