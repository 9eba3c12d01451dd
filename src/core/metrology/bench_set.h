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

struct PreparedBench {
  BenchSet bench;                   // loads above zero, bad rows left out
  std::vector<std::string> series;  // of each load
  int series_count = 0;
  // Signal change from the first to the last zero of a series, largest over
  // the series, a channel; empty with --no-zero.
  std::vector<double> zero_change;
  std::vector<int> bad_lines;  // loads that contradict the others by far
};

// Reference forces (dead weight: m g (1 - rho_air / rho_weight)), zeros by
// linear interpolation in row order between the zero readings of a series
// that stand around a load, places gathered to the millimetre, rows that are
// off by more than a quarter of their place's ratio set aside.
Expected<PreparedBench> PrepareBench(const Rig& rig,
                                     const ReadingsTable& readings,
                                     const CalibrateOptions& options,
                                     const std::string& file);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_BENCH_SET_H_
