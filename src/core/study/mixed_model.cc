#include "core/study/mixed_model.h"

#include <Eigen/Core>
#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <limits>

#include "core/study/minimise.h"
#include "core/study/mixed_engine.h"
#include "core/study/mixed_groups.h"

namespace masseter {
namespace {

// Below this ratio to the scatter a component is called 0.
constexpr double kZeroRatio = 1e-4;
constexpr std::size_t kManyValues = 5000;

double Dof(const MixedData& d, Likelihood likelihood) {
  return static_cast<double>(likelihood == Likelihood::kRestricted
                                 ? d.values() - d.columns()
                                 : d.values());
}

MixedFit Finish(MixedDeviance& deviance, double value, double sd,
                bool relative) {
  MixedFit out;
  out.criterion = value;
  out.residual = sd * sd;
  for (const double theta : deviance.theta()) {
    const double s = relative ? theta * sd : theta;
    out.variance.push_back(s * s);
    out.singular = out.singular || theta == 0.0;
  }
  out.beta = deviance.engine().Coefficients(deviance.point());
  const Eigen::MatrixXd cov = deviance.CoefficientCov();
  for (Eigen::Index i = 0; i < cov.rows(); ++i) {
    for (Eigen::Index j = 0; j < cov.cols(); ++j) {
      out.beta_cov.push_back(cov(i, j));
    }
  }
  out.effect = deviance.engine().Effects(deviance.theta(), deviance.point());
  out.evaluations = deviance.evaluations();
  return out;
}

// The ratios theta^2 at which to look first: 0 and powers of ten.
std::vector<double> FirstRatios() {
  std::vector<double> out = {0.0};
  for (int k = -24; k <= 24; ++k) out.push_back(std::pow(10.0, k / 4.0));
  return out;
}

// The lowest criterion over theta, by a coarse look and then the root of the
// slope in theta^2 next to the lowest.
double BestRatio(GroupEngine& groups, MixedDeviance& deviance, bool restricted,
                 double dof) {
  const std::vector<double> ratios = FirstRatios();
  std::size_t best = 0;
  double lowest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < ratios.size(); ++i) {
    const double theta = std::sqrt(ratios[i]);
    double sd = 0.0;
    const double value = deviance.Profiled(std::span(&theta, 1), &sd);
    if (value < lowest) {
      lowest = value;
      best = i;
    }
  }
  const auto slope = [&](double ratio) {
    return groups.Slope(ratio, restricted, dof);
  };
  const double low = best == 0 ? 0.0 : ratios[best - 1];
  const double high = ratios[std::min(best + 1, ratios.size() - 1)];
  const double at_low = slope(low);
  const double at_high = slope(high);
  if (best <= 1 && at_low >= 0.0) return 0.0;
  if (!(at_low < 0.0 && at_high > 0.0)) return ratios[best];
  std::uintmax_t steps = 100;
  const auto [a, b] = boost::math::tools::toms748_solve(
      slope, low, high, at_low, at_high,
      boost::math::tools::eps_tolerance<double>(50), steps);
  return 0.5 * (a + b);
}

// Whether the first factor adds to the columns, and leaves something for the
// scatter.
bool Separable(const GroupEngine& groups, const MixedData& data) {
  const GroupEngine::Within within = groups.WithinLevels();
  return within.dof > 0.0 &&
         data.random[0].levels + within.rank > data.columns();
}

bool Separable(const MixedData& data) {
  return Separable(GroupEngine(data), data);
}

MixedFit FitOneFactor(const MixedData& data, Likelihood likelihood) {
  MixedDeviance deviance(data, likelihood);
  auto& groups = static_cast<GroupEngine&>(deviance.engine());
  const bool separable = Separable(groups, data);
  double theta = 0.0;
  if (separable) {
    theta = std::sqrt(BestRatio(groups, deviance,
                                likelihood == Likelihood::kRestricted,
                                Dof(data, likelihood)));
  }
  double sd = 0.0;
  const double value = deviance.Profiled(std::span(&theta, 1), &sd);
  MixedFit out = Finish(deviance, value, sd, true);
  out.separable = separable;
  return out;
}

// Repeated values of every level of the first factor are the same to rounding.
bool NoScatter(const MixedData& data) {
  const GroupEngine groups(data);
  const GroupEngine::Within within = groups.WithinLevels();
  const double largest = std::abs(*std::max_element(
      data.y.begin(), data.y.end(),
      [](double a, double b) { return std::abs(a) < std::abs(b); }));
  const double each = 1e-13 * largest;
  return !data.HasKnownSd() && within.dof > 0.0 &&
         within.ss <= each * each * within.dof;
}

// Several ratios, or an instrument whose part is known: the criterion is even
// in each variable, so the search may cross 0 freely.
struct Search {
  MixedDeviance& deviance;
  bool relative;
  bool separable;  // otherwise the first factor's is held at 0
  double unit;     // sd of the data where the variables are not relative

  std::size_t first() const { return relative ? 0 : 1; }
  double Value(std::vector<double> x) {
    if (!separable) x[first()] = 0.0;
    double sd = 0.0;
    if (relative) return deviance.Profiled(x, &sd);
    for (double& s : x) s *= unit;
    return deviance.At(x);
  }
};

std::vector<double> SettleZeros(Search& search, std::vector<double> x) {
  if (!search.separable) x[search.first()] = 0.0;
  for (std::size_t k = search.first(); k < x.size(); ++k) {
    x[k] = std::abs(x[k]);
    const double size = search.relative ? x[k] : x[k] / std::abs(x[0]);
    if (!(size < 0.05)) continue;
    std::vector<double> without = x;
    without[k] = 0.0;
    const double here = search.Value(x);
    if (size < kZeroRatio || search.Value(without) <= here + 1e-9) x = without;
  }
  return x;
}

MixedFit FitBySearch(const MixedData& data, Likelihood likelihood) {
  MixedDeviance deviance(data, likelihood);
  Eigen::Map<const Eigen::VectorXd> y(data.y.data(),
                                      static_cast<Eigen::Index>(data.values()));
  const double unit = std::sqrt((y.array() - y.mean()).square().mean());
  const bool relative = !data.HasKnownSd();
  Search search{deviance, relative, Separable(data), unit};
  const std::size_t variables = data.random.size() + (relative ? 0 : 1);
  const SmoothFunction f = WithDifferences(
      [&search](const std::vector<double>& x) { return search.Value(x); });
  Minimum best;
  best.value = std::numeric_limits<double>::infinity();
  // From two sides where that is cheap; many values leave one lowest point.
  for (const double start : {1.0, 0.2}) {
    if (start < 1.0 && data.values() > kManyValues) break;
    Minimum m = Minimise(f, std::vector<double>(variables, start), 1e-8);
    if (m.value < best.value) best = std::move(m);
  }
  const std::vector<double> x = SettleZeros(search, best.x);
  const double value = search.Value(x);
  double sd = std::abs(x[0]) * unit;
  if (relative) deviance.Profiled(x, &sd);
  MixedFit out = Finish(deviance, value, sd, relative);
  out.separable = search.separable;
  return out;
}

// Renames the levels so that none is empty.
void CloseGaps(RandomFactor& f) {
  std::vector<std::size_t> name(f.levels, f.levels);
  for (const std::size_t l : f.level) name[l] = 0;
  std::size_t next = 0;
  for (std::size_t& n : name) {
    if (n == 0) n = next++;
  }
  for (std::size_t& l : f.level) l = name[l];
  f.levels = next;
}

}  // namespace

std::size_t MixedData::LowerBounds() const {
  return static_cast<std::size_t>(std::count_if(
      at_least.begin(), at_least.end(), [](char c) { return c != 0; }));
}

MixedData SelectValues(const MixedData& data, const std::vector<char>& kept) {
  MixedData out;
  out.x.resize(data.columns());
  out.random = data.random;
  for (RandomFactor& f : out.random) f.level.clear();
  for (std::size_t i = 0; i < data.values(); ++i) {
    if (kept[i] == 0) continue;
    out.y.push_back(data.y[i]);
    for (std::size_t k = 0; k < data.columns(); ++k) {
      out.x[k].push_back(data.x[k][i]);
    }
    for (std::size_t k = 0; k < data.random.size(); ++k) {
      out.random[k].level.push_back(data.random[k].level[i]);
    }
    if (data.HasKnownSd()) out.known_sd.push_back(data.known_sd[i]);
    if (!data.at_least.empty()) out.at_least.push_back(data.at_least[i]);
  }
  for (RandomFactor& f : out.random) CloseGaps(f);
  return out;
}

MixedData WithoutBounds(const MixedData& data) {
  std::vector<char> kept;
  for (const char bound : data.at_least) kept.push_back(bound == 0 ? 1 : 0);
  MixedData out = SelectValues(data, kept);
  out.at_least.clear();
  return out;
}

double MixedFit::Icc() const {
  double total = residual;
  for (const double v : variance) total += v;
  return total > 0.0 ? variance[0] / total : 0.0;
}

std::vector<std::size_t> IndependentColumns(
    const std::vector<std::vector<double>>& x) {
  std::vector<std::size_t> kept;
  std::vector<Eigen::VectorXd> basis;
  for (std::size_t k = 0; k < x.size(); ++k) {
    Eigen::VectorXd v = Eigen::Map<const Eigen::VectorXd>(
        x[k].data(), static_cast<Eigen::Index>(x[k].size()));
    const double before = v.norm();
    for (int pass = 0; pass < 2; ++pass) {
      for (const Eigen::VectorXd& b : basis) v -= b.dot(v) * b;
    }
    if (!(v.norm() > 1e-9 * before)) continue;
    basis.push_back(v / v.norm());
    kept.push_back(k);
  }
  return kept;
}

Expected<MixedFit> FitMixed(const MixedData& data, Likelihood likelihood) {
  if (data.values() <= data.columns()) {
    return BadInput("", "has no more values than the model has coefficients");
  }
  if (NoScatter(data)) {
    return BadInput("",
                    "has no scatter to judge by: the values of each group are "
                    "all equal");
  }
  MixedFit fit = data.random.size() == 1 && !data.HasKnownSd()
                     ? FitOneFactor(data, likelihood)
                     : FitBySearch(data, likelihood);
  fit.likelihood = likelihood;
  if (!std::isfinite(fit.criterion)) {
    return BadInput("", "is fitted without any scatter left to judge by");
  }
  return fit;
}

}  // namespace masseter
