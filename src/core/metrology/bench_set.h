// From readings to zero-corrected loads in newtons, and what the readings say
// about themselves before any fit.
#ifndef MASSETER_CORE_METROLOGY_BENCH_SET_H_
#define MASSETER_CORE_METROLOGY_BENCH_SET_H_

#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/metrology/calibration.h"
#include "core/metrology/estimator_fit.h"
#include "core/metrology/readings.h"

namespace masseter {

// A load that contradicts the others at its place and was set aside.
struct BadRow {
  int line = 0;
  // Stated load over the load that its signals speak of.
  double ratio = 1.0;
};

// A load that was left to stand, read again and again.
struct StandingLoad {
  std::vector<std::vector<double>> v;  // zero corrected, a reading each
  std::vector<double> t_s;             // since the first of them
  double force_n = 0.0;
  Place place;
  int line = 0;
};

struct PreparedBench {
  BenchSet bench;  // loads above zero, what was set aside left out
  // Loads of (nearly) one size share a level; their mean force, ascending.
  std::vector<int> level;  // of each load
  std::vector<double> level_force_n;
  int series_count = 0;
  // Signal change from the first to the last zero of a series, largest over
  // the series, a channel; empty with --no-zero.
  std::vector<double> zero_change;
  std::vector<const Reading*> zeros;  // of the readings given; row order
  std::vector<BadRow> bad_rows;
  std::vector<int> duplicate_lines;  // rows that repeat another word for word
  std::vector<StandingLoad> standing;
};

// Reference forces (reference_budget.h), zeros by linear interpolation in row
// order between the zero readings of a series that stand around a load, places
// gathered to the millimetre. Set aside: rows that stand twice, the later
// readings of a standing load, rows that are off by more than a quarter of
// their place's ratio. `readings` must outlive the result.
Expected<PreparedBench> PrepareBench(const Rig& rig,
                                     const ReadingsTable& readings,
                                     const CalibrateOptions& options,
                                     const std::string& file);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_BENCH_SET_H_
