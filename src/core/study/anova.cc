#include "core/study/anova.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "core/metrology/student_t.h"

namespace masseter {
namespace {

double FTest(double ms, double dof, double against, double against_dof,
             double* p) {
  if (against <= 0.0 || dof <= 0.0 || against_dof <= 0.0) {
    *p = ms > 0.0 && against_dof > 0.0 ? 0.0 : 1.0;
    return INFINITY;
  }
  const double f = ms / against;
  *p = FUpperTail(f, dof, against_dof);
  return f;
}

// Means of the table over all cells that share the levels of `factors`,
// spread back over every value.
std::vector<double> MarginalMeans(const CrossedTable& table,
                                  const std::vector<double>& values,
                                  unsigned factors) {
  const std::size_t count = table.levels.size();
  const auto slot = [&](std::size_t i) {
    std::size_t cell = i / table.repeats;
    std::size_t at = 0;
    std::size_t scale = 1;
    for (std::size_t f = count; f-- > 0;) {
      const std::size_t level = cell % table.levels[f];
      cell /= table.levels[f];
      if ((factors >> f & 1U) != 0) {
        at += level * scale;
        scale *= table.levels[f];
      }
    }
    return at;
  };
  std::size_t slots = 1;
  for (std::size_t f = 0; f < count; ++f) {
    if ((factors >> f & 1U) != 0) slots *= table.levels[f];
  }
  std::vector<double> sum(slots, 0.0);
  for (std::size_t i = 0; i < values.size(); ++i) sum[slot(i)] += values[i];
  const std::size_t in_slot = values.size() / slots;
  const auto each = static_cast<double>(in_slot);
  std::vector<double> out(values.size());
  for (std::size_t i = 0; i < values.size(); ++i) out[i] = sum[slot(i)] / each;
  return out;
}

// Effect of `factors` at every value: the marginal means with the effects of
// all proper subsets taken off, by inclusion and exclusion.
double EffectSs(const CrossedTable& table, const std::vector<double>& values,
                unsigned factors) {
  std::vector<double> effect(values.size(), 0.0);
  for (unsigned sub = factors;; sub = (sub - 1) & factors) {
    const std::vector<double> means = MarginalMeans(table, values, sub);
    const double sign = std::popcount(factors ^ sub) % 2 == 0 ? 1.0 : -1.0;
    for (std::size_t i = 0; i < effect.size(); ++i) {
      effect[i] += sign * means[i];
    }
    if (sub == 0) break;
  }
  double ss = 0.0;
  for (const double e : effect) ss += e * e;
  return ss;
}

std::vector<CrossedEffect> EffectsOf(const CrossedTable& table,
                                     const std::vector<double>& values) {
  const auto count = static_cast<unsigned>(table.levels.size());
  const unsigned all = (1U << count) - 1U;
  std::vector<CrossedEffect> effects;
  for (unsigned set = 1; set <= all; ++set) {
    CrossedEffect e;
    e.factors = set;
    e.dof = 1.0;
    e.weight = static_cast<double>(table.repeats);
    for (unsigned f = 0; f < count; ++f) {
      const double levels = static_cast<double>(table.levels[f]);
      if ((set >> f & 1U) != 0) {
        e.dof *= levels - 1.0;
      } else {
        e.weight *= levels;
      }
    }
    e.ss = EffectSs(table, values, set);
    e.ms = e.ss / e.dof;
    effects.push_back(e);
  }
  std::stable_sort(effects.begin(), effects.end(), [](auto& a, auto& b) {
    return std::popcount(a.factors) < std::popcount(b.factors);
  });
  return effects;
}

bool Contains(unsigned outer, unsigned inner) {
  return outer != inner && (outer & inner) == inner;
}

// Components from the widest interaction down, each free of those above it.
void FillVariances(CrossedAnova& a) {
  for (std::size_t i = a.effects.size(); i-- > 0;) {
    CrossedEffect& e = a.effects[i];
    double rest = e.ms - a.error_ms;
    for (const CrossedEffect& other : a.effects) {
      if (Contains(other.factors, e.factors)) {
        rest -= other.weight * other.variance;
      }
    }
    e.variance = rest / e.weight;
  }
}

void FillTests(CrossedAnova& a) {
  for (CrossedEffect& e : a.effects) {
    const CrossedEffect* above = nullptr;
    int found = 0;
    for (const CrossedEffect& other : a.effects) {
      if (!Contains(other.factors, e.factors)) continue;
      ++found;
      above = &other;
    }
    if (found == 1) {
      e.f = FTest(e.ms, e.dof, above->ms, above->dof, &e.p);
    } else {
      e.f = FTest(e.ms, e.dof, a.error_ms, a.error_dof, &e.p);
    }
  }
}

// Moves interactions that cannot be told from the error into it.
void Pool(CrossedAnova& a, double pool_above) {
  const auto joins = [&](const CrossedEffect& e) {
    if (std::popcount(e.factors) < 2) return false;
    for (const CrossedEffect& other : a.effects) {
      if (Contains(other.factors, e.factors)) return false;
    }
    double p = 1.0;
    FTest(e.ms, e.dof, a.error_ms, a.error_dof, &p);
    return p > pool_above;
  };
  for (std::size_t i = a.effects.size(); i-- > 0;) {
    if (!joins(a.effects[i])) continue;
    const CrossedEffect e = a.effects[i];
    a.error_ss += e.ss;
    a.error_dof += e.dof;
    a.error_ms = a.error_ss / a.error_dof;
    a.pooled.push_back(e.factors);
    a.effects.erase(a.effects.begin() + static_cast<std::ptrdiff_t>(i));
  }
}

}  // namespace

Expected<OneWayAnova> AnalyseOneWay(std::span<const double> value,
                                    std::span<const std::size_t> group,
                                    std::size_t groups) {
  std::vector<double> sum(groups, 0.0);
  std::vector<double> count(groups, 0.0);
  const double shift = value.empty() ? 0.0 : value[0];
  double total = 0.0;
  for (std::size_t i = 0; i < value.size(); ++i) {
    sum[group[i]] += value[i] - shift;
    count[group[i]] += 1.0;
    total += value[i] - shift;
  }
  OneWayAnova a;
  a.values = value.size();
  const double n = static_cast<double>(value.size());
  double squares = 0.0;
  for (const double c : count) {
    if (c > 0.0) ++a.groups;
    squares += c * c;
  }
  if (a.groups < 2) return BadInput("", "needs at least two groups");
  if (value.size() == a.groups) {
    return BadInput("", "has one value in every group; nothing is repeated");
  }
  const double mean = total / n;
  a.mean = shift + mean;
  for (std::size_t i = 0; i < value.size(); ++i) {
    const double in = sum[group[i]] / count[group[i]];
    const double within = (value[i] - shift) - in;
    a.within_ss += within * within;
    a.between_ss += (in - mean) * (in - mean);
  }
  a.between_dof = static_cast<double>(a.groups) - 1.0;
  a.within_dof = n - static_cast<double>(a.groups);
  a.between_ms = a.between_ss / a.between_dof;
  a.within_ms = a.within_ss / a.within_dof;
  a.f = FTest(a.between_ms, a.between_dof, a.within_ms, a.within_dof, &a.p);
  a.r_squared = a.between_ss / (a.between_ss + a.within_ss);
  a.residual_sd = std::sqrt(a.within_ms);
  a.n0 = (n - squares / n) / a.between_dof;
  return a;
}

const CrossedEffect* CrossedAnova::Find(unsigned factors) const {
  for (const CrossedEffect& e : effects) {
    if (e.factors == factors) return &e;
  }
  return nullptr;
}

Expected<CrossedAnova> AnalyseCrossed(const CrossedTable& table,
                                      double pool_above) {
  std::size_t cells = 1;
  for (const std::size_t levels : table.levels) {
    if (levels < 2) return BadInput("", "a factor has a single level");
    cells *= levels;
  }
  if (table.levels.empty() || table.levels.size() > 3 || table.repeats < 1 ||
      cells * table.repeats != table.values.size()) {
    return BadInput("", "is not a fully crossed table of one to three factors");
  }
  if (table.levels.size() == 1 && table.repeats < 2) {
    return BadInput("", "has one value in every group; nothing is repeated");
  }
  std::vector<double> values = table.values;
  for (double& v : values) v -= table.values[0];
  CrossedAnova a;
  a.effects = EffectsOf(table, values);
  const unsigned all = (1U << table.levels.size()) - 1U;
  if (table.repeats == 1) {
    a.error_ss = a.effects.back().ss;
    a.error_dof = a.effects.back().dof;
    a.effects.pop_back();
  } else {
    // About the cells' means, so that nothing large is subtracted.
    const std::vector<double> cell = MarginalMeans(table, values, all);
    for (std::size_t i = 0; i < values.size(); ++i) {
      a.error_ss += (values[i] - cell[i]) * (values[i] - cell[i]);
    }
    a.error_dof = static_cast<double>(values.size() - cells);
  }
  a.error_ms = a.error_ss / a.error_dof;
  if (pool_above < 1.0) Pool(a, pool_above);
  FillVariances(a);
  FillTests(a);
  return a;
}

}  // namespace masseter
