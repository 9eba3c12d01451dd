// Dogs beside each other, from draws of their means (mixed_draws.h): who may be
// told from whom when all pairs are looked at together, and which ranks each
// may have. A ranking is only given with its uncertainty. Pure functions.
#ifndef MASSETER_CORE_STUDY_DOG_COMPARISON_H_
#define MASSETER_CORE_STUDY_DOG_COMPARISON_H_

#include <cstddef>
#include <vector>

#include "core/study/mixed_draws.h"
#include "core/study/mixed_interval.h"
#include "core/study/mixed_model.h"

namespace masseter {

// One dog's mean less another's, in the model's unit.
struct DogPair {
  std::size_t a = 0;
  std::size_t b = 0;
  double difference = 0.0;  // middle of the draws
  double lo = 0.0;          // of all pairs together, see below
  double hi = 0.0;
  StudyInterval alone;      // of this pair as if it were the only one
  double a_stronger = 0.5;  // probability
  bool told_apart = false;  // the simultaneous interval leaves out 0
};

struct DogPairs {
  std::vector<DogPair> pairs;
  // How many standard errors each interval reaches: the 95 % point of the
  // largest |d - mean d| / se over all pairs (the studentised range of unequal
  // errors, by draws instead of tables).
  double reach = 0.0;
};

// Targets 0..dogs-1 of the draws are the dogs' means.
DogPairs ComparePairs(const MixedDraws& draws, std::size_t dogs,
                      double level = 0.95);

struct DogRank {
  std::vector<double> probability;  // of rank 1 (strongest), 2, ...
  double mean = 0.0;
  std::size_t lo = 1;  // ranks that hold 95 %
  std::size_t hi = 1;
  double strongest = 0.0;
  double among_three = 0.0;
};

std::vector<DogRank> RankDogs(const MixedDraws& draws, std::size_t dogs);

// A value that does not fit its dog: (y - predicted) / s, and the two-sided
// bound that one value in any study of this size exceeds with 5 % probability
// (Bonferroni).
struct OddValue {
  std::size_t value = 0;
  double deviation = 0.0;
};
std::vector<OddValue> FindOddValues(const MixedData& data, const MixedFit& fit);

// The model without each dog: what it moves.
struct DogInfluence {
  double mean_shift = 0.0;  // of the first coefficient, in its standard errors
  double sd_ratio = 1.0;    // dogs' standard deviation without it / with all
};
std::vector<DogInfluence> DogInfluences(const MixedData& data,
                                        const MixedFit& fit);

// Spread of each dog's values over what its instrument is known to add: the
// Birge ratio, sqrt(sum ((y - mean) / m)^2 / (n - 1)) with weighted mean. Near
// 1 the instrument explains the spread; NaN below two values.
std::vector<double> BirgeRatios(const MixedData& data);

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_DOG_COMPARISON_H_
