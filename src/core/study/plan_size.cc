#include "core/study/plan_size.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>

#include "core/base/random_draws.h"
#include "core/metrology/student_t.h"
#include "core/study/reliability.h"

namespace masseter {
namespace {

constexpr int kDraws = 4000;
constexpr std::uint64_t kSeed = 1979;

bool SpeaksOfSingleDogs(StudyGoal goal) {
  return goal == StudyGoal::kDogMean || goal == StudyGoal::kReliability ||
         goal == StudyGoal::kDogs;
}

// For these the promise must reach the wish; for the others stay below it.
bool MoreIsBetter(StudyGoal goal) {
  return goal == StudyGoal::kReliability || goal == StudyGoal::kDogs ||
         goal == StudyGoal::kGroups;
}

double Target(const StudyWish& wish) {
  return wish.goal == StudyGoal::kDogs || wish.goal == StudyGoal::kGroups
             ? wish.power
             : wish.wanted;
}

bool Keeps(const StudyWish& wish, double promised) {
  return MoreIsBetter(wish.goal) ? promised >= Target(wish)
                                 : promised <= Target(wish);
}

// One-way table of k dogs and n bites: mean squares as they may turn out.
struct Draw {
  double between_ms;
  double within_ms;
};

struct Design {
  double k;
  double n;
  double between_dof;
  double within_dof;
};

Draw DrawMeanSquares(const StudyPrior& p, const Design& d,
                     RandomNumbers& random) {
  const double bite = p.bite_sd * p.bite_sd;
  const double dog = bite + d.n * p.dog_sd * p.dog_sd;
  return {dog * random.ChiSquared(d.between_dof) / d.between_dof,
          bite * random.ChiSquared(d.within_dof) / d.within_dof};
}

template <class Statistic>
double MeanOver(const StudyPrior& p, const Design& d,
                const Statistic& statistic) {
  RandomNumbers random(kSeed);
  double sum = 0.0;
  for (int i = 0; i < kDraws; ++i) {
    const Draw draw = DrawMeanSquares(p, d, random);
    sum += statistic(draw, random);
  }
  return sum / kDraws;
}

double DogMean(const StudyPrior& p, const StudyWish& w, const Design& d) {
  const double t = CoverageFactor(w.level, d.within_dof);
  return MeanOver(p, d, [&](const Draw& m, RandomNumbers&) {
    return std::sinh(t * std::sqrt(m.within_ms / d.n));
  });
}

double GroupMean(const StudyPrior& p, const StudyWish& w, const Design& d) {
  const double t = CoverageFactor(w.level, d.between_dof);
  return MeanOver(p, d, [&](const Draw& m, RandomNumbers&) {
    return std::sinh(t * std::sqrt(m.between_ms / (d.k * d.n)));
  });
}

double IccWidth(const StudyPrior& p, const StudyWish& w, const Design& d) {
  const double up = 0.5 + w.level / 2.0;
  const double down_by = FQuantile(up, d.between_dof, d.within_dof);
  const double up_by = FQuantile(up, d.within_dof, d.between_dof);
  const auto icc = [&](double f) { return (f - 1.0) / (f + d.n - 1.0); };
  return MeanOver(p, d, [&](const Draw& m, RandomNumbers&) {
    const double f = m.between_ms / m.within_ms;
    return icc(f * up_by) - icc(f / down_by);
  });
}

// Power of the two-sided t-test on a difference of ln(1 + wanted) whose
// standard error is sqrt(2 MS / size).
double Power(const StudyPrior& p, const StudyWish& w, const Design& d,
             bool of_groups) {
  const double dof = of_groups ? d.between_dof : d.within_dof;
  const double t = CoverageFactor(w.level, dof);
  const double true_ms =
      p.bite_sd * p.bite_sd + (of_groups ? d.n * p.dog_sd * p.dog_sd : 0.0);
  const double size = of_groups ? d.k / 2.0 * d.n : d.n;
  const double delta = std::log1p(w.wanted);
  return MeanOver(p, d, [&](const Draw& m, RandomNumbers& random) {
    const double seen =
        delta + random.Normal() * std::sqrt(2.0 * true_ms / size);
    const double ms = of_groups ? m.between_ms : m.within_ms;
    return std::abs(seen) > t * std::sqrt(2.0 * ms / size) ? 1.0 : 0.0;
  });
}

Expected<void> CheckPrior(const StudyPrior& p) {
  const bool ok = std::isfinite(p.dog_sd) && std::isfinite(p.bite_sd) &&
                  p.dog_sd >= 0.0 && p.bite_sd > 0.0 && p.dog_sd <= 3.0 &&
                  p.bite_sd <= 3.0;
  if (ok) return {};
  return BadInput("",
                  "the spreads must be standard deviations of the logarithm: "
                  "bites above 0, dogs 0 or more, both at most 3");
}

Expected<void> CheckWish(const StudyWish& w) {
  const auto inside = [](double v, double low, double high) {
    return v > low && v < high;
  };
  const bool fraction =
      w.goal == StudyGoal::kIccWidth || w.goal == StudyGoal::kReliability;
  if (!inside(w.wanted, 0.0, fraction ? 1.0 : 10.0)) {
    return BadInput("", fraction ? "the wish must lie between 0 and 1"
                                 : "the wish must lie between 0 and 1000 %");
  }
  if (!inside(w.level, 0.5, 1.0) || !inside(w.power, 0.0, 1.0)) {
    return BadInput("", "level and power must lie below 1, level above 0.5");
  }
  if (w.dogs && (*w.dogs < 2 || *w.dogs > kMostDogs)) {
    return BadInput("", "dogs must be 2 to " + std::to_string(kMostDogs));
  }
  if (w.bites && (*w.bites < 2 || *w.bites > kMostBites)) {
    return BadInput(
        "", "bites of each dog must be 2 to " + std::to_string(kMostBites));
  }
  if (w.goal == StudyGoal::kGroups && w.dogs &&
      (*w.dogs % 2 != 0 || *w.dogs < 4)) {
    return BadInput("", "two groups need an even number of dogs, at least 4");
  }
  return {};
}

// The fewest dogs for this number of bites; nullopt when kMostDogs do not
// suffice.
std::optional<StudyDesign> FewestDogs(const StudyPrior& p, const StudyWish& w,
                                      int bites) {
  const int step = w.goal == StudyGoal::kGroups ? 2 : 1;
  int low = w.goal == StudyGoal::kGroups ? 4 : 2;
  int high = kMostDogs;
  if (w.dogs) low = high = *w.dogs;
  if (!w.dogs && SpeaksOfSingleDogs(w.goal)) low = high = kUsualDogs;
  if (!Keeps(w, PromiseOf(p, w, high, bites))) return std::nullopt;
  while (low < high) {
    const int middle = low + (high - low) / (2 * step) * step;
    if (Keeps(w, PromiseOf(p, w, middle, bites))) {
      high = middle;
    } else {
      low = middle + step;
    }
  }
  return StudyDesign{high, bites, PromiseOf(p, w, high, bites)};
}

// Two digits are enough to see how far off a wish is.
std::string TwoDigits(double value) {
  const std::int64_t hundredths = std::llround(100.0 * value);
  std::string rest = std::to_string(hundredths % 100);
  if (rest.size() < 2) rest.insert(0, "0");
  return std::to_string(hundredths / 100) + "." + rest;
}

tl::unexpected<Error> OutOfReach(const StudyPrior& p, const StudyWish& w) {
  const bool single = SpeaksOfSingleDogs(w.goal);
  const int dogs = w.dogs.value_or(single ? kUsualDogs : kMostDogs);
  const int bites = w.bites.value_or(kMostBites);
  const double promised = std::min(PromiseOf(p, w, dogs, bites), 1e6);
  return BadInput("", "even " + std::to_string(dogs) + " dogs with " +
                          std::to_string(bites) + " bites of each give " +
                          TwoDigits(promised) + " where " +
                          TwoDigits(Target(w)) + " is wanted; ask for less" +
                          (w.dogs && !single ? " or allow more dogs" : ""));
}

}  // namespace

double StudyPrior::Icc() const {
  return dog_sd * dog_sd / (dog_sd * dog_sd + bite_sd * bite_sd);
}

double PromiseOf(const StudyPrior& prior, const StudyWish& wish, int dogs,
                 int bites) {
  Design d{static_cast<double>(dogs), static_cast<double>(bites), 0.0, 0.0};
  d.between_dof = d.k - (wish.goal == StudyGoal::kGroups ? 2.0 : 1.0);
  d.within_dof = d.k * (d.n - 1.0);
  switch (wish.goal) {
    case StudyGoal::kDogMean:
      return DogMean(prior, wish, d);
    case StudyGoal::kGroupMean:
      return GroupMean(prior, wish, d);
    case StudyGoal::kIccWidth:
      return IccWidth(prior, wish, d);
    case StudyGoal::kReliability:
      return SpearmanBrown(prior.Icc(), d.n);
    case StudyGoal::kDogs:
      return Power(prior, wish, d, false);
    case StudyGoal::kGroups:
      return Power(prior, wish, d, true);
  }
  return 0.0;
}

Expected<StudyPlan> PlanStudy(
    const StudyPrior& prior, const StudyWish& wish,
    const std::function<void(std::uint64_t, std::uint64_t)>& progress) {
  if (auto ok = CheckPrior(prior); !ok) return tl::unexpected(ok.error());
  if (auto ok = CheckWish(wish); !ok) return tl::unexpected(ok.error());
  StudyPlan plan;
  const int from = wish.bites.value_or(2);
  const int to = wish.bites.value_or(kMostBites);
  for (int bites = from; bites <= to; ++bites) {
    if (progress) {
      progress(static_cast<std::uint64_t>(bites - from),
               static_cast<std::uint64_t>(to - from + 1));
    }
    const auto design = FewestDogs(prior, wish, bites);
    if (!design) continue;
    plan.alternatives.push_back(*design);
    if (plan.chosen.dogs == 0 || design->total() < plan.chosen.total()) {
      plan.chosen = *design;
    }
    // With the dogs fixed, more bites only cost more; otherwise more bites
    // cannot pay once they have not for a while.
    const bool fixed = wish.dogs || SpeaksOfSingleDogs(wish.goal);
    if (fixed || plan.alternatives.size() >= 8) break;
  }
  if (plan.chosen.dogs == 0) return OutOfReach(prior, wish);
  return plan;
}

}  // namespace masseter
