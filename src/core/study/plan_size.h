// How many dogs, and how many bites of each, answer a question. Bites are
// lognormal: ln F = mu + dog + bite, dog ~ N(0, dog_sd^2), bite ~ N(0,
// bite_sd^2), as in docs/method.md section 7; every dog bites equally often and
// the table is evaluated by one-way analysis of variance (for such a table the
// same as REML). What a design gives is simulated: mean squares are drawn from
// their exact distributions and the interval is computed as it will be from
// data; the promise is its mean over the draws.
//
// A wanted "+-10 %" is half the interval over the value, sinh(h) for an
// interval exp(+-h). Pure functions; the seed is fixed, so that a plan is the
// same on every machine.
#ifndef MASSETER_CORE_STUDY_PLAN_SIZE_H_
#define MASSETER_CORE_STUDY_PLAN_SIZE_H_

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "core/base/error.h"

namespace masseter {

// Standard deviations of ln F: what is known so far.
struct StudyPrior {
  double dog_sd = 0.0;   // between dogs
  double bite_sd = 0.0;  // between bites of one dog
  double Icc() const;
};

enum class StudyGoal {
  kDogMean,      // each dog's mean to within +- wanted
  kGroupMean,    // the mean of all dogs, of which these are a sample
  kIccWidth,     // the full width of the interval of the ICC
  kReliability,  // the reliability (ICC) of a dog's mean
  kDogs,         // two dogs that differ by `wanted` are told apart
  kGroups,       // two groups of dogs (breeds) that differ so, likewise
};

struct StudyWish {
  StudyGoal goal = StudyGoal::kDogMean;
  double wanted = 0.1;
  double level = 0.95;  // of intervals and tests
  double power = 0.8;   // for kDogs and kGroups
  std::optional<int> dogs =
      {};  // as many as there are; in both groups together
  std::optional<int> bites = {};  // as many as are allowed
};

struct StudyDesign {
  int dogs = 0;
  int bites = 0;  // of each dog
  // What the goal speaks of: half-width, width, reliability or power.
  double promised = 0.0;
  int total() const { return dogs * bites; }
};

struct StudyPlan {
  StudyDesign chosen;
  // The cheapest design for each number of bites, in order of bites.
  std::vector<StudyDesign> alternatives;
};

// The smallest design that keeps the promise, the fewest bites altogether.
// Without `dogs`, goals that speak of single dogs plan for kUsualDogs. Refuses
// wishes outside their range and those that no design of up to 200 dogs and 30
// bites each fulfils, in a sentence that says what would.
inline constexpr int kUsualDogs = 10;
inline constexpr int kMostDogs = 200;
inline constexpr int kMostBites = 30;
Expected<StudyPlan> PlanStudy(
    const StudyPrior& prior, const StudyWish& wish,
    const std::function<void(std::uint64_t, std::uint64_t)>& progress = {});

// What one design gives, by simulation.
double PromiseOf(const StudyPrior& prior, const StudyWish& wish, int dogs,
                 int bites);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_PLAN_SIZE_H_
