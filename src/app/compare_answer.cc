#include "app/compare_answer.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <tuple>

#include "app/compare_parts.h"
#include "core/metrology/student_t.h"
#include "core/study/censored_model.h"
#include "core/study/reliability.h"

namespace masseter {
namespace {

constexpr std::size_t kMostDogsDrawn = 400;
constexpr std::size_t kMostDogsPaired = 40;
constexpr std::size_t kMostDogsLeftOut = 200;  // refits without each
constexpr std::size_t kMostValuesProfiled = 2000;
constexpr std::size_t kMostValuesRefitted = 20000;
constexpr double kDrawEffort = 1.5e8;

bool OneBiteEach(const CompareDesign& d) {
  return d.data.values() == d.dogs.size();
}

// Terms that a dog's own effect cannot be told from: out, if that helps.
Expected<MixedFit> FitPlain(CompareDesign& design, Likelihood likelihood) {
  auto fit = FitMixed(design.data, likelihood);
  const bool helps =
      fit && !fit->separable && !OneBiteEach(design) && design.dogs.size() > 1;
  if (!helps) return fit;
  std::vector<std::size_t> kept = {0};
  for (std::size_t k = 1; k < design.data.columns(); ++k) {
    if (design.moves[k] != 0) kept.push_back(k);
  }
  design.Keep(
      kept, {"term_is_dog",
             fmt::format("left out: with as many {}s as this term has "
                         "levels, what is the {}'s own and what the term's "
                         "cannot be told apart; take more {}s to each level",
                         design.data.random[0].name, design.data.random[0].name,
                         design.data.random[0].name)});
  return FitMixed(design.data, likelihood);
}

// Lower bounds alone say nothing about a term, nor about a dog's scatter.
Expected<MixedFit> FitWithBounds(CompareAnswer& a, Likelihood wish) {
  CompareDesign& design = a.design;
  MixedData values = WithoutBounds(design.data);
  const std::vector<std::size_t> kept = IndependentColumns(values.x);
  if (kept.size() < design.data.columns()) {
    design.Keep(kept, {"only_at_least",
                       "left out, since only lower bounds tell of it"});
    values = WithoutBounds(design.data);
  }
  auto plain = FitMixed(values, wish);
  if (!plain) return plain;
  const bool told = plain->separable && design.dogs.size() > 1;
  if (design.data.random.size() == 1) {
    a.method = CompareMethod::kCensored;
    auto fit = FitCensored(design.data);
    if (fit) fit->separable = told;
    return fit;
  }
  if (!told) {
    return BadInput("",
                    "has too few values that are more than lower bounds "
                    "for --random");
  }
  a.method = CompareMethod::kDraws;
  auto fit = FitMixed(design.data, wish);
  if (fit) fit->separable = told;
  return fit;
}

Expected<MixedFit> FitByLikelihood(CompareAnswer& a, Likelihood wish) {
  auto fit = FitPlain(a.design, wish);
  if (!fit) return fit;
  const bool full = wish == Likelihood::kFull;
  a.method = full ? CompareMethod::kFull : CompareMethod::kRestricted;
  const auto other = FitMixed(
      a.design.data, full ? Likelihood::kRestricted : Likelihood::kFull);
  if (other) a.other = *other;
  return fit;
}

Expected<void> Fit(CompareAnswer& a) {
  const MixedData& data = a.design.data;
  const std::size_t bounds = data.LowerBounds();
  if (bounds == data.values()) {
    a.method = CompareMethod::kNone;
    return {};
  }
  const Likelihood wish =
      a.question.full_likelihood ? Likelihood::kFull : Likelihood::kRestricted;
  auto fit = bounds > 0 ? FitWithBounds(a, wish) : FitByLikelihood(a, wish);
  if (!fit) return tl::unexpected(fit.error());
  a.fit = std::move(*fit);
  return {};
}

std::size_t DrawsWorthwhile(const CompareAnswer& a) {
  const MixedData& d = a.design.data;
  const double effort = static_cast<double>(d.values()) *
                        static_cast<double>(d.columns() + d.random.size() + 4);
  const auto draws =
      static_cast<std::size_t>(std::min(8000.0, kDrawEffort / effort));
  const bool needed = a.method == CompareMethod::kDraws;
  if (!needed && (draws < 1000 || a.design.dogs.size() > kMostDogsDrawn)) {
    return 0;
  }
  return std::max<std::size_t>(draws, 500);
}

// Of a dog's mean with the components taken as known (many dogs).
double PlugInSd(const CompareAnswer& a, std::size_t dog, double weight,
                const std::vector<double>& mean_row) {
  const double share =
      a.fit.variance[0] * weight / (1.0 + a.fit.variance[0] * weight);
  std::vector<double> row = a.design.RowOf(dog);
  double variance = a.fit.variance[0] * (1.0 - share);
  for (std::size_t k = 0; k < row.size(); ++k) row[k] -= share * mean_row[k];
  for (std::size_t i = 0; i < row.size(); ++i) {
    for (std::size_t j = 0; j < row.size(); ++j) {
      variance += row[i] * row[j] * a.fit.BetaCov(i, j);
    }
  }
  return std::sqrt(variance);
}

void AddPlugInIntervals(CompareAnswer& a) {
  const MixedData& d = a.design.data;
  const std::size_t dogs = a.design.dogs.size();
  std::vector<double> weight(dogs, 0.0);
  std::vector<std::vector<double>> mean(dogs,
                                        std::vector<double>(d.columns(), 0.0));
  for (std::size_t i = 0; i < d.values(); ++i) {
    if (!d.at_least.empty() && d.at_least[i] != 0) continue;
    const double known = d.HasKnownSd() ? d.known_sd[i] : 0.0;
    const double w = 1.0 / (a.fit.residual + known * known);
    const std::size_t j = d.random[0].level[i];
    weight[j] += w;
    for (std::size_t k = 0; k < d.columns(); ++k) mean[j][k] += w * d.x[k][i];
  }
  const double reach = NormalQuantile(0.975);
  for (std::size_t j = 0; j < dogs; ++j) {
    for (double& m : mean[j]) m /= weight[j] > 0.0 ? weight[j] : 1.0;
    const double sd = PlugInSd(a, j, weight[j], mean[j]);
    CompareFigure& f = a.dogs[j].mean;
    f.interval = StudyInterval{f.value - reach * sd, f.value + reach * sd};
  }
  a.notes.push_back(
      {"plug_in",
       "with so many bites the intervals of the means take the spreads as "
       "known, and pairs and ranks are left out"});
}

void CountBites(CompareAnswer& a) {
  const CompareDesign& design = a.design;
  const MixedData& d = design.data;
  a.dogs.resize(design.dogs.size());
  std::vector<double> sum(a.dogs.size(), 0.0);
  for (std::size_t i = 0; i < d.values(); ++i) {
    CompareDog& dog = a.dogs[d.random[0].level[i]];
    ++dog.bites;
    sum[d.random[0].level[i]] += d.y[i];
    if (d.at_least.empty() || d.at_least[i] == 0) continue;
    ++dog.at_least;
    dog.highest_bound = std::max(dog.highest_bound.value_or(design.newtons[i]),
                                 design.newtons[i]);
  }
  for (std::size_t j = 0; j < a.dogs.size(); ++j) {
    CompareDog& dog = a.dogs[j];
    dog.name = design.dogs[j];
    if (dog.at_least == 0) dog.own = sum[j] / static_cast<double>(dog.bites);
    if (dog.at_least < dog.bites) dog.highest_bound.reset();
  }
}

void AddMeans(CompareAnswer& a) {
  for (std::size_t j = 0; j < a.dogs.size(); ++j) {
    const std::vector<double> row = a.design.RowOf(j);
    double mean = a.fit.effect[0][j];
    for (std::size_t k = 0; k < row.size(); ++k) {
      mean += row[k] * a.fit.beta[k];
    }
    a.dogs[j].mean.value = mean;
    // Single bites speak for themselves; a bound is no mean.
    if (!a.told() && a.dogs.size() > 1) {
      a.dogs[j].mean.value = a.dogs[j].own.value_or(std::nan(""));
    }
  }
}

MixedDraws Draw(const CompareAnswer& a) {
  DrawRequest request;
  for (std::size_t j = 0; j < a.dogs.size(); ++j) {
    request.targets.push_back({a.design.RowOf(j), j});
  }
  for (std::size_t k = 0; k < a.design.data.columns(); ++k) {
    std::vector<double> unit(a.design.data.columns(), 0.0);
    unit[k] = 1.0;
    request.targets.push_back({unit, DrawRequest::kNoLevel});
  }
  request.draws = a.draws;
  request.first = std::max<std::size_t>(200, a.draws / 8);
  return DrawMixed(a.design.data, a.fit, request);
}

StudyInterval Middle95(const std::vector<double>& draws) {
  return {QuantileOf(draws, 0.025), QuantileOf(draws, 0.975)};
}

// Several random factors and lower bounds: the draws are all there is.
void EstimateByDraws(CompareAnswer& a, const MixedDraws& draws) {
  MixedFit& fit = a.fit;
  fit.residual = QuantileOf(draws.residual, 0.5);
  for (std::size_t k = 0; k < fit.variance.size(); ++k) {
    fit.variance[k] = QuantileOf(draws.variance[k], 0.5);
  }
  for (std::size_t k = 0; k < fit.beta.size(); ++k) {
    const std::vector<double> of = draws.Of(a.dogs.size() + k);
    fit.beta[k] = QuantileOf(of, 0.5);
  }
  fit.singular = false;
  for (std::size_t j = 0; j < a.dogs.size(); ++j) {
    a.dogs[j].mean.value = QuantileOf(draws.Of(j), 0.5);
  }
}

void AddDrawn(CompareAnswer& a, const MixedDraws& draws) {
  const std::size_t dogs = a.dogs.size();
  for (std::size_t j = 0; j < dogs; ++j) {
    a.dogs[j].mean.interval = Middle95(draws.Of(j));
  }
  if (!a.told()) return;
  if (dogs <= kMostDogsPaired) {
    a.pairs = ComparePairs(draws, dogs);
  } else {
    a.notes.push_back(
        {"pairs_left_out", fmt::format("pairs are told for up to {} {}s",
                                       kMostDogsPaired, a.question.subject)});
  }
  const std::vector<DogRank> ranks = RankDogs(draws, dogs);
  for (std::size_t j = 0; j < dogs; ++j) a.dogs[j].rank = ranks[j];
}

// Intervals of the standard deviations, the scatter's first.
std::vector<std::optional<StudyInterval>> SdIntervals(const CompareAnswer& a,
                                                      const MixedDraws* draws) {
  const MixedData& d = a.design.data;
  std::vector<std::optional<StudyInterval>> out(d.random.size() + 1);
  const bool fitted = a.method == CompareMethod::kRestricted ||
                      a.method == CompareMethod::kFull;
  const bool quick = d.random.size() == 1 && !d.HasKnownSd();
  if (fitted && !quick && d.values() > kMostValuesProfiled) {
    const std::vector<StudyInterval> all = CurvatureSds(d, a.fit);
    std::copy(all.begin(), all.end(), out.begin());
    return out;
  }
  for (std::size_t k = 0; k < out.size(); ++k) {
    if (fitted) {
      out[k] = ProfileSd(d, a.fit, k);
    } else if (draws != nullptr) {
      const StudyInterval v =
          Middle95(k == 0 ? draws->residual : draws->variance[k - 1]);
      out[k] = StudyInterval{std::sqrt(v.lo), std::sqrt(v.hi)};
    }
  }
  return out;
}

void AddComponents(CompareAnswer& a, const MixedDraws* draws) {
  const MixedData& d = a.design.data;
  const std::vector<std::optional<StudyInterval>> sds = SdIntervals(a, draws);
  for (std::size_t k = 0; k < d.random.size(); ++k) {
    CompareComponent part{d.random[k].name, a.fit.variance[k], std::nullopt};
    if (k > 0 || a.told()) part.sd = sds[k + 1];
    a.parts.push_back(part);
  }
  a.parts.push_back({"residual", a.fit.residual, sds[0]});
}

void AddIcc(CompareAnswer& a, const MixedDraws* draws) {
  if (!a.told()) return;
  CompareFigure icc{a.fit.Icc(), ExactIcc(a.design.data)};
  // A pivot below all its usual values leaves nothing but 0: no interval.
  if (icc.interval && icc.interval->hi <= icc.value) icc.interval.reset();
  a.icc_by = icc.interval ? "exact" : "";
  if (!icc.interval && draws != nullptr) {
    icc.interval = IccInterval(*draws);
    a.icc_by = "draws";
    if (a.method == CompareMethod::kDraws) {
      icc.value = QuantileOf(IccDraws(*draws), 0.5);
    }
  }
  a.icc = icc;
  a.bites_for_0_9 = BitesForReliability(icc.value, 0.9);
}

void AddDiagnostics(CompareAnswer& a) {
  const MixedData& d = a.design.data;
  double known = 0.0;  // a usual bite's
  for (const double m : d.known_sd) {
    known += m * m / static_cast<double>(d.values());
  }
  a.one_bite_difference =
      NormalQuantile(0.975) * std::sqrt(2.0 * (a.fit.residual + known));
  const std::vector<double> birge = BirgeRatios(d);
  for (std::size_t j = 0; j < a.dogs.size(); ++j) {
    if (std::isfinite(birge[j])) a.dogs[j].birge = birge[j];
  }
  // Medians of draws have no effects to judge by.
  if (a.method == CompareMethod::kDraws) return;
  if (a.told() || a.dogs.size() == 1) a.odd = FindOddValues(d, a.fit);
  const bool quick = d.random.size() == 1 && !d.HasKnownSd();
  const std::size_t most = quick ? kMostValuesRefitted : kMostValuesProfiled;
  if (!a.told() || a.method == CompareMethod::kCensored ||
      a.dogs.size() > kMostDogsLeftOut || d.values() > most) {
    return;
  }
  const std::vector<DogInfluence> influence = DogInfluences(d, a.fit);
  for (std::size_t j = 0; j < a.dogs.size(); ++j) {
    if (std::isfinite(influence[j].mean_shift))
      a.dogs[j].influence = influence[j];
  }
}

void OneDogInterval(CompareAnswer& a) {
  const double dof = static_cast<double>(a.design.data.values()) -
                     static_cast<double>(a.design.data.columns());
  const double reach = CoverageFactor(0.95, dof) *
                       std::sqrt(LinearVariance(a.fit, a.design.RowOf(0)));
  CompareFigure& f = a.dogs[0].mean;
  f.interval = StudyInterval{f.value - reach, f.value + reach};
}

// Strongest first; pairs and ranks name dogs by their new places.
void SortDogs(CompareAnswer& a) {
  std::vector<std::size_t> order(a.dogs.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  const auto key = [&a](std::size_t j) {
    const CompareDog& dog = a.dogs[j];
    const bool mean =
        a.method != CompareMethod::kNone && std::isfinite(dog.mean.value);
    return mean ? a.Newtons(dog.mean.value) : dog.highest_bound.value_or(0.0);
  };
  std::stable_sort(order.begin(), order.end(),
                   [&](auto x, auto y) { return key(x) > key(y); });
  std::vector<CompareDog> dogs;
  std::vector<std::size_t> place(order.size());
  for (std::size_t r = 0; r < order.size(); ++r) {
    place[order[r]] = r;
    dogs.push_back(std::move(a.dogs[order[r]]));
  }
  a.dogs = std::move(dogs);
  for (DogPair& p : a.pairs.pairs) {
    p.a = place[p.a];
    p.b = place[p.b];
    if (p.a < p.b) continue;
    std::swap(p.a, p.b);
    p.difference = -p.difference;
    p.a_stronger = 1.0 - p.a_stronger;
    std::tie(p.lo, p.hi) = std::pair(-p.hi, -p.lo);
    p.alone = {-p.alone.hi, -p.alone.lo};
  }
  std::sort(a.pairs.pairs.begin(), a.pairs.pairs.end(),
            [](const DogPair& x, const DogPair& y) {
              return std::pair(x.a, x.b) < std::pair(y.a, y.b);
            });
}

void Analyse(CompareAnswer& a) {
  AddMeans(a);
  a.draws = a.dogs.size() > 1 && !a.told() ? 0 : DrawsWorthwhile(a);
  const MixedData& d = a.design.data;
  // One dog with next to nothing beyond bounds has no interval.
  const bool thin = d.values() - d.LowerBounds() < d.columns() + 2;
  if (a.dogs.size() == 1 && (a.method != CompareMethod::kCensored || thin)) {
    a.draws = 0;
  }
  MixedDraws draws;
  const MixedDraws* drawn = nullptr;
  if (a.draws > 0) {
    draws = Draw(a);
    drawn = &draws;
    if (a.method == CompareMethod::kDraws) EstimateByDraws(a, draws);
    AddDrawn(a, draws);
  } else if (a.dogs.size() == 1 && a.method != CompareMethod::kCensored) {
    OneDogInterval(a);
  } else if (a.told()) {
    AddPlugInIntervals(a);
  }
  AddComponents(a, drawn);
  AddIcc(a, drawn);
  AddTerms(a, drawn);
  AddBreeds(a, drawn);
  AddDiagnostics(a);
}

}  // namespace

double CompareAnswer::Newtons(double value) const {
  return question.log ? std::exp(value) : value;
}

Expected<CompareAnswer> AnswerCompare(const CompareQuestion& question) {
  CompareAnswer a;
  a.question = question;
  const auto rows = ReadStudy(question.books, question.table);
  if (!rows) return tl::unexpected(rows.error());
  auto design = DesignComparison(*rows, question);
  if (!design) return tl::unexpected(design.error());
  a.design = std::move(*design);
  CountBites(a);
  if (auto ok = Fit(a); !ok) {
    Error e = ok.error();
    e.where = rows->file;
    e.what = a.design.figures.of + " " + e.what;
    return tl::unexpected(e);
  }
  AddBreedNames(a, *rows);
  AddSeenBites(a, *rows);
  if (a.method != CompareMethod::kNone) Analyse(a);
  SortDogs(a);
  AddNotes(a);
  return a;
}

}  // namespace masseter
