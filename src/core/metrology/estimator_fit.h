// Chooses and fits the estimator from bench loads: the simplest member of the
// family whose left-out-position error is within one standard error of the
// best (docs/method.md section 2).
#ifndef MASSETER_CORE_METROLOGY_ESTIMATOR_FIT_H_
#define MASSETER_CORE_METROLOGY_ESTIMATOR_FIT_H_

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/metrology/estimator.h"

namespace masseter {

// One bench load, zero corrected.
struct BenchLoad {
  std::vector<double> v;  // channel signals above zero
  double force_n = 0.0;   // reference force, > 0
  int position = 0;       // index of its place
  bool rising = true;
  int line = 0;  // in the readings file
  std::string series;
  std::optional<double> temp_c;
};

struct BenchSet {
  std::vector<BenchLoad> loads;
  std::vector<Place> positions;  // where loads were put
  std::vector<Place> cells;      // empty when the rig has no positions
};

// Relative errors (estimate - reference) / reference of loads that were left
// out with their whole position. Loads below a twentieth of the largest are
// left out of the figures: there the zero decides, not the place.
struct LeftOutError {
  double rms = 0.0;              // over positions, each weighing the same
  double max = 0.0;              // rms of the worst position
  std::vector<double> position;  // rms a position
  std::vector<double> mean;      // mean error a position, signed
};

struct EstimatorFit {
  Estimator estimator;
  Eigen::MatrixXd covariance;  // of the coefficients
  double relative_sd = 0.0;    // of the residuals, relative to the force
  double shrinkage = 0.0;      // the ridge that left-out error chose
  // nullopt with fewer than three positions: then nothing can be left out.
  std::optional<LeftOutError> left_out;
};

// Fits by QR with weights 1/(F^2 + (F_max/20)^2), i.e. relative errors count
// alike. Terms beyond the channel gains are shrunk towards zero, the gains
// towards their common value a hundred times less: at equal loads a rigid
// plate moves its cells along three directions only, and without the ridge
// noise would choose the fourth. The amount is chosen with the form.
// Errors: no load above zero, a channel that never moves.
Expected<EstimatorFit> FitEstimator(const BenchSet& bench);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_ESTIMATOR_FIT_H_
