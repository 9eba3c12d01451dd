// Loads of (nearly) one size: a reference transducer never shows the same
// newtons twice.
#ifndef MASSETER_CORE_METROLOGY_LOAD_LEVELS_H_
#define MASSETER_CORE_METROLOGY_LOAD_LEVELS_H_

#include <vector>

namespace masseter {

struct LoadLevels {
  std::vector<int> level;       // of each load
  std::vector<double> force_n;  // mean of each level, ascending
};

// A load starts a new level when it is larger than the smallest of the level
// below by more than 1 % and 0.2 % of the largest load together.
LoadLevels FindLoadLevels(const std::vector<double>& force_n);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_LOAD_LEVELS_H_
