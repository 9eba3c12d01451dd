// Which loads stand where and how often: the plan of a calibration at the
// bench, and what it can give at best.
//
// In full: the middle, the corners, the edges' middles and two places half way
// out along the sleeve; three series, each placed anew; loads rising and
// falling, a zero before and after each run. In brief: the middle and the
// corners, two series, three loads, rising only.
#ifndef MASSETER_CORE_BENCH_LOAD_PLAN_H_
#define MASSETER_CORE_BENCH_LOAD_PLAN_H_

#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/metrology/estimator.h"
#include "core/rig/rig.h"

namespace masseter {

struct LoadPlan {
  bool by_mass = true;        // loads in kg, else in newtons
  std::vector<Place> places;  // one at least
  std::vector<double> loads;  // rising, all above zero
  int series = 3;
  bool falling = true;
};

struct PlanRequest {
  bool brief = false;
  bool by_mass = true;
  std::vector<double> loads;  // empty: chosen from the rig
  std::vector<Place> places;  // empty: chosen from the rig
  std::optional<int> series;
};

// One settled load that is asked for. A load of 0 is a zero reading.
struct LoadStep {
  int series = 1;
  bool rising = true;
  double load = 0.0;
  Place place;
};

// Errors name the option: loads that do not rise or are not positive, a load
// beyond what the rig may bear, more than 1000 readings.
Expected<LoadPlan> MakeLoadPlan(const Rig& rig, const PlanRequest& request);

// Series by series, place by place: zero, up, down, zero.
std::vector<LoadStep> StepsOf(const LoadPlan& plan);

// What is known of the sleeve beforehand, as relative standard deviations.
struct SleeveGuess {
  // The same load placed anew; an earlier calibration's, or common practice.
  double placing = 1.5e-3;
  double weights = 5e-4 / 1.7320508;  // OIML R111 class M3, rectangular
  // How much the sensitivity varies towards the edge, for shares that go with
  // x, y, their squares and product (2 %) and with third and fourth powers
  // (0.5 %): common practice for a padded shell, not a measurement.
  double edge_low = 2e-2;
  double edge_high = 5e-3;
};

// The best that a plan can do, by Bayes' linear model: sensitivity is a
// fourth-order polynomial over the area with the guess as its prior, a
// reading's error is `placing`. With Phi a row a place and W the prior's
// variances, C = (W^-1 + series Phi' Phi / placing^2)^-1, and the variance of
// the sensitivity at a place phi is phi' C phi; averaged over the area it is
// the place's share. One channel does not see the place: there the whole
// spread stays.
struct PlanPromise {
  int readings = 0;
  double minutes = 0.0;        // at 25 s a reading
  double expanded_u95 = 0.0;   // of the force, all of it
  double place_u = 0.0;        // standard, the place's share
  bool reversibility = false;  // told by the plan
  bool curvature = false;      // four loads or more
};
PlanPromise PromiseOf(const Rig& rig, const LoadPlan& plan,
                      const SleeveGuess& guess = {});

// What a brief plan costs against a full one, in a sentence with figures.
std::string CostInWords(const PlanPromise& brief, const PlanPromise& full);

}  // namespace masseter

#endif  // MASSETER_CORE_BENCH_LOAD_PLAN_H_
