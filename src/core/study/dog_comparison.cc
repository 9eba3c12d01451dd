#include "core/study/dog_comparison.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "core/metrology/student_t.h"

namespace masseter {
namespace {

std::vector<double> DifferencesOf(const MixedDraws& draws, std::size_t a,
                                  std::size_t b) {
  std::vector<double> out(draws.count);
  for (std::size_t d = 0; d < draws.count; ++d) {
    out[d] = draws.Target(d, a) - draws.Target(d, b);
  }
  return out;
}

double MeanOf(const std::vector<double>& v) {
  return std::accumulate(v.begin(), v.end(), 0.0) /
         static_cast<double>(v.size());
}

double SdOf(const std::vector<double>& v, double mean) {
  double sum = 0.0;
  for (const double x : v) sum += (x - mean) * (x - mean);
  return std::sqrt(sum / (static_cast<double>(v.size()) - 1.0));
}

}  // namespace

DogPairs ComparePairs(const MixedDraws& draws, std::size_t dogs, double level) {
  DogPairs out;
  std::vector<double> largest(draws.count, 0.0);
  std::vector<double> sds;
  for (std::size_t a = 0; a < dogs; ++a) {
    for (std::size_t b = a + 1; b < dogs; ++b) {
      const std::vector<double> all = DifferencesOf(draws, a, b);
      DogPair pair;
      pair.a = a;
      pair.b = b;
      pair.difference = MeanOf(all);
      const double sd = SdOf(all, pair.difference);
      for (std::size_t d = 0; d < draws.count; ++d) {
        if (!(sd > 0.0)) break;
        largest[d] =
            std::max(largest[d], std::abs(all[d] - pair.difference) / sd);
      }
      pair.a_stronger =
          static_cast<double>(std::count_if(all.begin(), all.end(),
                                            [](double x) { return x > 0.0; })) /
          static_cast<double>(draws.count);
      pair.alone = {QuantileOf(all, 0.5 - level / 2.0),
                    QuantileOf(all, 0.5 + level / 2.0)};
      out.pairs.push_back(pair);
      sds.push_back(sd);
    }
  }
  if (out.pairs.empty()) return out;
  out.reach = QuantileOf(largest, level);
  for (std::size_t k = 0; k < out.pairs.size(); ++k) {
    DogPair& p = out.pairs[k];
    p.lo = p.difference - out.reach * sds[k];
    p.hi = p.difference + out.reach * sds[k];
    p.told_apart = p.lo > 0.0 || p.hi < 0.0;
  }
  return out;
}

std::vector<DogRank> RankDogs(const MixedDraws& draws, std::size_t dogs) {
  std::vector<DogRank> out(dogs);
  for (DogRank& r : out) r.probability.assign(dogs, 0.0);
  std::vector<std::size_t> order(dogs);
  const double each = 1.0 / static_cast<double>(draws.count);
  for (std::size_t d = 0; d < draws.count; ++d) {
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
      return draws.Target(d, a) > draws.Target(d, b);
    });
    for (std::size_t r = 0; r < dogs; ++r) {
      out[order[r]].probability[r] += each;
    }
  }
  for (DogRank& r : out) {
    double sum = 0.0;
    for (std::size_t k = 0; k < dogs; ++k) {
      const double before = sum;
      sum += r.probability[k];
      r.mean += r.probability[k] * static_cast<double>(k + 1);
      if (before < 0.025 && sum >= 0.025) r.lo = k + 1;
      if (before < 0.975 && sum >= 0.975 - 1e-12) r.hi = k + 1;
      if (k < 3) r.among_three += r.probability[k];
    }
    r.strongest = r.probability[0];
  }
  return out;
}

std::vector<OddValue> FindOddValues(const MixedData& data,
                                    const MixedFit& fit) {
  const double bound =
      NormalQuantile(1.0 - 0.025 / static_cast<double>(data.values()));
  std::vector<OddValue> out;
  for (std::size_t i = 0; i < data.values(); ++i) {
    double left = data.y[i];
    for (std::size_t k = 0; k < data.columns(); ++k) {
      left -= fit.beta[k] * data.x[k][i];
    }
    for (std::size_t k = 0; k < data.random.size(); ++k) {
      left -= fit.effect[k][data.random[k].level[i]];
    }
    const double known = data.HasKnownSd() ? data.known_sd[i] : 0.0;
    const double z = left / std::sqrt(fit.residual + known * known);
    const bool bounded = !data.at_least.empty() && data.at_least[i] != 0;
    // A bound above its prediction is surprising, one below it is not.
    if ((bounded ? z : std::abs(z)) > bound) out.push_back({i, z});
  }
  return out;
}

std::vector<DogInfluence> DogInfluences(const MixedData& data,
                                        const MixedFit& fit) {
  std::vector<DogInfluence> out;
  for (std::size_t j = 0; j < data.random[0].levels; ++j) {
    DogInfluence influence{std::numeric_limits<double>::quiet_NaN(),
                           std::numeric_limits<double>::quiet_NaN()};
    std::vector<char> kept;
    for (const std::size_t l : data.random[0].level) {
      kept.push_back(l == j ? 0 : 1);
    }
    const MixedData rest = SelectValues(data, kept);
    if (rest.random[0].levels > 1 &&
        IndependentColumns(rest.x).size() == rest.columns()) {
      if (const auto without = FitMixed(rest, fit.likelihood)) {
        influence.mean_shift =
            (without->beta[0] - fit.beta[0]) / std::sqrt(fit.BetaCov(0, 0));
        influence.sd_ratio = std::sqrt(without->variance[0] / fit.variance[0]);
      }
    }
    out.push_back(influence);
  }
  return out;
}

std::vector<double> BirgeRatios(const MixedData& data) {
  const std::size_t dogs = data.random[0].levels;
  std::vector<double> weight(dogs, 0.0);
  std::vector<double> sum(dogs, 0.0);
  std::vector<double> square(dogs, 0.0);
  std::vector<double> count(dogs, 0.0);
  const auto usable = [&](std::size_t i) {
    return data.known_sd[i] > 0.0 &&
           (data.at_least.empty() || data.at_least[i] == 0);
  };
  std::vector<double> out(dogs, std::numeric_limits<double>::quiet_NaN());
  if (!data.HasKnownSd()) return out;
  for (std::size_t i = 0; i < data.values(); ++i) {
    if (!usable(i)) continue;
    const std::size_t j = data.random[0].level[i];
    const double w = 1.0 / (data.known_sd[i] * data.known_sd[i]);
    weight[j] += w;
    sum[j] += w * data.y[i];
    count[j] += 1.0;
  }
  for (std::size_t i = 0; i < data.values(); ++i) {
    if (!usable(i)) continue;
    const std::size_t j = data.random[0].level[i];
    const double e = (data.y[i] - sum[j] / weight[j]) / data.known_sd[i];
    square[j] += e * e;
  }
  for (std::size_t j = 0; j < dogs; ++j) {
    if (count[j] > 1.0) out[j] = std::sqrt(square[j] / (count[j] - 1.0));
  }
  return out;
}

}  // namespace masseter
