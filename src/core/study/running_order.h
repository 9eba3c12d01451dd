// Who bites when. Rounds of all dogs, ordered by a Williams design (Williams,
// Aust. J. Sci. Res. A 2 (1949) 149): over a full set of rounds every dog
// stands in every place equally often and follows every other dog equally
// often, so that the helper's fatigue, the warming sleeve and the dog before
// weigh on all alike. A full set is n rounds for an even number n of dogs and
// 2 n for an odd one. With fewer rounds, rounds are taken in mirrored pairs:
// then every dog's mean place is the same and no dog follows another twice.
// Conditions (sleeves, placings) that every dog goes through are ordered in
// each dog by the same designs. Pure functions.
#ifndef MASSETER_CORE_STUDY_RUNNING_ORDER_H_
#define MASSETER_CORE_STUDY_RUNNING_ORDER_H_

#include <cstdint>
#include <vector>

#include "core/base/error.h"

namespace masseter {

using Sequence = std::vector<int>;

// The design for n treatments 0..n-1, one sequence a row; n >= 1.
std::vector<Sequence> WilliamsDesign(int n);

struct OrderWish {
  int dogs = 0;
  int bites = 0;       // counted bites of each dog
  int practice = 0;    // bites before them that do not count
  int conditions = 0;  // 0: none
  double minutes_per_bite = 2.0;
  double rest_minutes = 10.0;  // from one bite of a dog to its next, at least
  int bites_per_day = 0;       // of one dog; 0: all on one day
  std::uint64_t seed = 1;      // who stands where is drawn by lot
};

struct Turn {
  int day = 1;
  int round = 0;        // 0 is practice
  int place = 1;        // in the round
  int dog = 0;          // 0-based
  int bite = 0;         // of this dog, from 1; 0 for practice
  int condition = 0;    // 0-based; 0 when there are none
  double minute = 0.0;  // from the day's first bite
};

struct OrderBalance {
  int follows_least = 0;  // how often a dog follows another within rounds
  int follows_most = 0;
  double place_least = 0.0;  // mean place of a dog over the counted rounds
  double place_most = 0.0;
  double shortest_rest = 0.0;  // minutes, within a day; 0 when none
};

struct RunningOrder {
  std::vector<Turn> turns;
  OrderBalance balance;
  std::vector<double> day_minutes;  // length of each day
};

// One dog at least. Refuses negative times and more than 10 000 turns.
Expected<RunningOrder> MakeRunningOrder(const OrderWish& wish);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_RUNNING_ORDER_H_
