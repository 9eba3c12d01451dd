#include "core/study/gauge.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "core/base/random_draws.h"

namespace masseter {
namespace {

constexpr int kDraws = 10000;
constexpr std::uint64_t kSeed = 20260516;
constexpr unsigned kDog = 1U;

// Sums of components under their industrial names, none below zero.
struct Components {
  double repeatability = 0.0;
  std::vector<double> conditions;
  double interaction = 0.0;
  double reproducibility = 0.0;
  double gauge = 0.0;
  double dogs = 0.0;
  double total = 0.0;
};

// `a` with mean squares filled in; components of the effects follow.
Components ComponentsOf(const CrossedAnova& a, std::size_t factors) {
  Components c;
  c.repeatability = a.error_ms;
  c.conditions.assign(factors - 1, 0.0);
  std::vector<double> variance(a.effects.size(), 0.0);
  for (std::size_t i = a.effects.size(); i-- > 0;) {
    const CrossedEffect& e = a.effects[i];
    double rest = e.ms - a.error_ms;
    for (std::size_t j = i + 1; j < a.effects.size(); ++j) {
      const unsigned outer = a.effects[j].factors;
      if ((outer & e.factors) == e.factors) {
        rest -= a.effects[j].weight * variance[j];
      }
    }
    variance[i] = rest / e.weight;
    const double positive = std::max(0.0, variance[i]);
    if (e.factors == kDog) {
      c.dogs = positive;
    } else if (std::popcount(e.factors) == 1) {
      c.conditions[static_cast<std::size_t>(std::countr_zero(e.factors)) - 1] =
          positive;
      c.reproducibility += positive;
    } else {
      c.interaction += positive;
    }
  }
  c.gauge = c.repeatability + c.reproducibility + c.interaction;
  c.total = c.gauge + c.dogs;
  return c;
}

struct Interval {
  double lo;
  double hi;
};
Interval Middle(std::vector<double>& draws, double level) {
  std::sort(draws.begin(), draws.end());
  const double last = static_cast<double>(draws.size() - 1);
  const auto at = [&](double p) {
    return draws[static_cast<std::size_t>(std::lround(p * last))];
  };
  return {at(0.5 - level / 2.0), at(0.5 + level / 2.0)};
}

GaugePart PartOf(double variance, double total) {
  GaugePart p;
  p.variance = variance;
  p.sd = std::sqrt(variance);
  if (total > 0.0) {
    p.percent_of_total = 100.0 * std::sqrt(variance / total);
    p.percent_contribution = 100.0 * variance / total;
  }
  return p;
}

// One draw of the true mean squares: dof MS / chi-squared(dof).
CrossedAnova Drawn(const CrossedAnova& a, RandomNumbers& random) {
  CrossedAnova out = a;
  for (CrossedEffect& e : out.effects) {
    e.ms *= e.dof / random.ChiSquared(e.dof);
  }
  out.error_ms *= a.error_dof / random.ChiSquared(a.error_dof);
  return out;
}

// Every part of the study and its value in one draw, in one order.
std::vector<GaugePart*> PartsOf(GaugeStudy& g) {
  std::vector<GaugePart*> parts = {
      &g.repeatability, &g.interaction, &g.reproducibility,
      &g.gauge,         &g.dogs,        &g.total};
  for (GaugePart& p : g.conditions) parts.push_back(&p);
  return parts;
}
std::vector<double> ValuesOf(const Components& c) {
  std::vector<double> v = {c.repeatability, c.interaction, c.reproducibility,
                           c.gauge,         c.dogs,        c.total};
  v.insert(v.end(), c.conditions.begin(), c.conditions.end());
  return v;
}

void FillIntervals(GaugeStudy& g, std::size_t factors, double level) {
  RandomNumbers random(kSeed);
  const std::vector<GaugePart*> parts = PartsOf(g);
  std::vector<std::vector<double>> draws(parts.size());
  std::vector<double> icc;
  for (int i = 0; i < kDraws; ++i) {
    const Components c = ComponentsOf(Drawn(g.anova, random), factors);
    const std::vector<double> values = ValuesOf(c);
    for (std::size_t k = 0; k < values.size(); ++k) {
      draws[k].push_back(values[k]);
    }
    icc.push_back(c.total > 0.0 ? c.dogs / c.total : 0.0);
  }
  for (std::size_t k = 0; k < parts.size(); ++k) {
    const Interval v = Middle(draws[k], level);
    parts[k]->sd_lo = std::sqrt(v.lo);
    parts[k]->sd_hi = std::sqrt(v.hi);
  }
  const Interval v = Middle(icc, level);
  g.icc_lo = v.lo;
  g.icc_hi = v.hi;
}

}  // namespace

Expected<GaugeStudy> AnalyseGauge(const CrossedTable& table, double pool_above,
                                  double level) {
  const std::size_t factors = table.levels.size();
  if (factors < 2 || factors > 3) {
    return BadInput("", "a gauge study has dogs and one or two conditions");
  }
  if (table.repeats < 2) {
    return BadInput("", "a gauge study repeats every cell at least twice");
  }
  auto anova = AnalyseCrossed(table, pool_above);
  if (!anova) return tl::unexpected(anova.error());
  GaugeStudy g;
  g.anova = std::move(*anova);
  const Components c = ComponentsOf(g.anova, factors);
  if (c.total <= 0.0) {
    return BadInput("", "all values are equal; nothing can be told apart");
  }
  g.conditions.resize(factors - 1);
  const std::vector<GaugePart*> parts = PartsOf(g);
  const std::vector<double> values = ValuesOf(c);
  for (std::size_t k = 0; k < parts.size(); ++k) {
    *parts[k] = PartOf(values[k], c.total);
  }
  g.icc = c.dogs / c.total;
  g.categories_exact = c.gauge > 0.0 ? 1.41 * g.dogs.sd / g.gauge.sd : INFINITY;
  g.categories = static_cast<int>(std::clamp(g.categories_exact, 0.0, 1e6));
  FillIntervals(g, factors, level);
  return g;
}

}  // namespace masseter
