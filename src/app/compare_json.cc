#include <cmath>

#include "app/compare_answer.h"

namespace masseter {
namespace {

using Json = nlohmann::ordered_json;

Json Number(double v) { return std::isfinite(v) ? Json(v) : Json(nullptr); }

Json Pair(const std::optional<StudyInterval>& i) {
  return i ? Json{Number(i->lo), Number(i->hi)} : Json(nullptr);
}

Json InNewtons(const CompareAnswer& a, double v) {
  return Number(a.Newtons(v));
}

// mean_n, lo_n, hi_n
void AddMean(const CompareAnswer& a, const CompareFigure& f, Json& j) {
  j["mean_n"] = InNewtons(a, f.value);
  j["lo_n"] = f.interval ? InNewtons(a, f.interval->lo) : Json(nullptr);
  j["hi_n"] = f.interval ? InNewtons(a, f.interval->hi) : Json(nullptr);
}

Json DogJson(const CompareAnswer& a, const CompareDog& d) {
  Json j = {{"dog", d.name}};
  if (!d.breed.empty()) j["breed"] = d.breed;
  j["bites"] = d.bites;
  j["at_least_bites"] = d.at_least;
  if (a.method == CompareMethod::kNone) {
    j["mean_n"] = nullptr;
    j["lo_n"] = nullptr;
    j["hi_n"] = nullptr;
  } else {
    AddMean(a, d.mean, j);
  }
  j["own_mean_n"] = d.own ? InNewtons(a, *d.own) : Json(nullptr);
  if (d.highest_bound) j["at_least_n"] = *d.highest_bound;
  if (d.rank) {
    j["rank"] = {{"mean", d.rank->mean},
                 {"lo", d.rank->lo},
                 {"hi", d.rank->hi},
                 {"strongest", d.rank->strongest},
                 {"among_three", d.rank->among_three},
                 {"probability", d.rank->probability}};
  }
  if (d.birge) j["birge_ratio"] = *d.birge;
  if (d.influence) {
    j["without_it"] = {{"mean_shift_se", Number(d.influence->mean_shift)},
                       {"dog_sd_ratio", Number(d.influence->sd_ratio)}};
  }
  return j;
}

// A difference in the model's unit: newtons, or the ratio of two forces.
void AddDifference(const CompareAnswer& a, double value, double lo, double hi,
                   Json& j) {
  const char* what = a.question.log ? "ratio" : "difference_n";
  const char* low = a.question.log ? "ratio_lo" : "lo_n";
  const char* high = a.question.log ? "ratio_hi" : "hi_n";
  j[what] = InNewtons(a, value);
  j[low] = InNewtons(a, lo);
  j[high] = InNewtons(a, hi);
}

Json PairsJson(const CompareAnswer& a) {
  Json out = Json::array();
  for (const DogPair& p : a.pairs.pairs) {
    Json j = {{"a", a.dogs[p.a].name}, {"b", a.dogs[p.b].name}};
    AddDifference(a, p.difference, p.lo, p.hi, j);
    if (a.question.log) {
      j["difference_n"] =
          a.Newtons(a.dogs[p.a].mean.value) - a.Newtons(a.dogs[p.b].mean.value);
    }
    j["alone"] = {InNewtons(a, p.alone.lo), InNewtons(a, p.alone.hi)};
    j["a_stronger"] = p.a_stronger;
    j["told_apart"] = p.told_apart;
    out.push_back(std::move(j));
  }
  return out;
}

Json BreedsJson(const CompareAnswer& a) {
  Json out = Json::array();
  for (const CompareBreed& b : a.breeds) {
    Json j = {{"breed", b.name}, {"dogs", b.dogs}, {"bites", b.bites}};
    AddMean(a, b.mean, j);
    out.push_back(std::move(j));
  }
  return out;
}

Json BreedPairsJson(const CompareAnswer& a) {
  Json out = Json::array();
  for (const CompareBreedPair& p : a.breed_pairs) {
    Json j = {{"a", a.breeds[p.a].name}, {"b", a.breeds[p.b].name}};
    const CompareFigure& d = p.difference;
    AddDifference(a, d.value, d.interval->lo, d.interval->hi, j);
    j["told_apart"] = p.told_apart;
    out.push_back(std::move(j));
  }
  return out;
}

Json ComponentsJson(const CompareAnswer& a) {
  Json j;
  double total = 0.0;
  Json sd;
  for (const CompareComponent& c : a.parts) {
    const bool unknown = c.name != "residual" && &c == &a.parts[0] && !a.told();
    j[c.name] = unknown ? Json(nullptr) : Json(c.variance);
    total += c.variance;
    sd[c.name] = {
        {"value", unknown ? Json(nullptr) : Json(std::sqrt(c.variance))},
        {"lo", c.sd ? Number(c.sd->lo) : Json(nullptr)},
        {"hi", c.sd ? Number(c.sd->hi) : Json(nullptr)}};
  }
  j["total"] = total;
  j["are"] = a.question.log ? "variances of ln(N)" : "variances, N^2";
  j["sd"] = sd;
  return j;
}

const char* MethodWord(CompareMethod method) {
  switch (method) {
    case CompareMethod::kRestricted:
      return "REML";
    case CompareMethod::kFull:
      return "ML";
    case CompareMethod::kCensored:
      return "ML, lower bounds integrated";
    case CompareMethod::kDraws:
      return "draws";
    case CompareMethod::kNone:
      break;
  }
  return "none";
}

Json Criterion(const CompareAnswer& a, Likelihood likelihood) {
  if (a.method == CompareMethod::kDraws) return nullptr;
  if (a.method != CompareMethod::kNone && a.fit.likelihood == likelihood) {
    return Number(a.fit.criterion);
  }
  if (a.other && a.other->likelihood == likelihood) {
    return Number(a.other->criterion);
  }
  return nullptr;
}

Json ModelJson(const CompareAnswer& a) {
  Json j = {{"method", MethodWord(a.method)},
            {"response", a.question.log ? "log" : "linear"},
            {"of", a.design.figures.of},
            {"reml", Criterion(a, Likelihood::kRestricted)},
            {"ml", Criterion(a, Likelihood::kFull)},
            {"fixed", Json::object()},
            {"coefficients", Json::array()},
            {"values", a.design.data.values()},
            {"singular", a.fit.singular}};
  Json random = Json::array();
  for (const RandomFactor& f : a.design.data.random) {
    random.push_back({{"factor", f.name}, {"levels", f.levels}});
  }
  j["random"] = random;
  j["instrument"] = a.design.data.HasKnownSd() ? Json(a.design.u95) : nullptr;
  for (const CompareTerm& t : a.terms) {
    j["fixed"][t.name] = t.estimate;
    j["coefficients"].push_back({{"term", t.name},
                                 {"estimate", t.estimate},
                                 {"se", Number(t.se)},
                                 {"dof", Number(t.dof)},
                                 {"p", Number(t.p)},
                                 {"lo", Number(t.interval.lo)},
                                 {"hi", Number(t.interval.hi)}});
  }
  if (a.other) {
    Json parts;
    for (std::size_t k = 0; k < a.other->variance.size(); ++k) {
      parts[a.design.data.random[k].name] = a.other->variance[k];
    }
    parts["residual"] = a.other->residual;
    j[a.question.full_likelihood ? "reml_components" : "ml_components"] = parts;
  }
  j["draws"] = a.draws;
  return j;
}

Json OddJson(const CompareAnswer& a) {
  Json out = Json::array();
  for (const OddValue& o : a.odd) {
    const std::size_t dog = a.design.data.random[0].level[o.value];
    out.push_back({{"row", a.design.value_row[o.value] + 1},
                   {"dog", a.design.dogs[dog]},
                   {"value_n", a.design.newtons[o.value]},
                   {"deviation_sd", o.deviation}});
  }
  return out;
}

}  // namespace

nlohmann::ordered_json CompareJson(const CompareAnswer& a) {
  Json j;
  j["dogs"] = Json::array();
  for (const CompareDog& d : a.dogs) j["dogs"].push_back(DogJson(a, d));
  j["icc"] = {{"value", nullptr},
              {"lo", nullptr},
              {"hi", nullptr},
              {"bites_for_0_9", nullptr}};
  if (a.icc) {
    const auto interval = Pair(a.icc->interval);
    j["icc"]["value"] = a.icc->value;
    if (a.icc->interval) {
      j["icc"]["lo"] = interval[0];
      j["icc"]["hi"] = interval[1];
    }
    if (a.bites_for_0_9) j["icc"]["bites_for_0_9"] = *a.bites_for_0_9;
    j["icc"]["interval_by"] = a.icc_by;
  }
  j["components"] = Json::object();
  if (a.method != CompareMethod::kNone) j["components"] = ComponentsJson(a);
  j["pairs"] = PairsJson(a);
  j["breeds"] = BreedsJson(a);
  j["breed_pairs"] = BreedPairsJson(a);
  j["dogs_per_breed_to_tell"] =
      a.dogs_per_breed ? Json(*a.dogs_per_breed) : Json(nullptr);
  j["model"] = ModelJson(a);
  j["smallest_real_difference"] = nullptr;
  if (a.method != CompareMethod::kNone) {
    j["smallest_real_difference"] = {{a.question.log ? "ratio" : "difference_n",
                                      InNewtons(a, a.one_bite_difference)},
                                     {"between", "two single bites"}};
  }
  j["pairs_reach_se"] = a.pairs.reach;
  j["odd_bites"] = OddJson(a);
  j["left_out"] = LeftOutJson(a.design.figures);
  j["notes"] = Json::array();
  for (const CompareNote& n : a.notes) {
    j["notes"].push_back({{"code", n.code}, {"text", n.text}});
  }
  return j;
}

}  // namespace masseter
