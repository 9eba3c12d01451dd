// Simulated studies whose strongest bites are known from below only.
#ifndef TESTS_REFERENCE_CENSORED_STUDY_H_
#define TESTS_REFERENCE_CENSORED_STUDY_H_

#include <algorithm>
#include <cstddef>
#include <vector>

#include "core/base/random_draws.h"
#include "core/study/censored_model.h"

namespace masseter {

// Logarithms of force around 6.3, sd 0.25 between dogs and 0.2 within one;
// what exceeds `cut` is kept as a lower bound at it. `truth`: the dogs' means.
inline MixedData Study(RandomNumbers& random, std::size_t dogs,
                       std::size_t bites, double cut,
                       std::vector<double>& truth) {
  MixedData d;
  truth.clear();
  d.random = {{"dog", dogs, {}}};
  for (std::size_t j = 0; j < dogs; ++j) {
    truth.push_back(6.3 + 0.25 * random.Normal());
    for (std::size_t i = 0; i < bites; ++i) {
      const double y = truth.back() + 0.2 * random.Normal();
      d.y.push_back(std::min(y, cut));
      d.at_least.push_back(y > cut ? 1 : 0);
      d.random[0].level.push_back(j);
    }
  }
  d.x = {std::vector<double>(d.y.size(), 1.0)};
  return d;
}

}  // namespace masseter

#endif  // TESTS_REFERENCE_CENSORED_STUDY_H_
