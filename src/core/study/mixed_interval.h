// Intervals of a mixed model's components and coefficients.
//
// - A component's standard deviation: the values that the profiled criterion
//   does not exclude (likelihood ratio against chi-squared with one degree of
//   freedom; Pinheiro and Bates 2000, section 2.4; Bates et al. 2015, 5.1).
// - The intraclass correlation with one random factor: exact for any numbers of
//   bites, from the F that compares what lies between dogs at a given ratio of
//   variances with what lies within (Wald, Ann. Math. Stat. 18 (1947) 586;
//   Seely and El-Bassiouni, Ann. Stat. 11 (1983) 197).
// - Sums of coefficients: Student's t with Satterthwaite's degrees of freedom
//   (Giesbrecht and Burns, Biometrics 41 (1985) 477).
// Pure functions.
#ifndef MASSETER_CORE_STUDY_MIXED_INTERVAL_H_
#define MASSETER_CORE_STUDY_MIXED_INTERVAL_H_

#include <optional>
#include <span>
#include <vector>

#include "core/study/mixed_model.h"

namespace masseter {

struct StudyInterval {
  double lo = 0.0;
  double hi = 0.0;
};

// Which standard deviation: 0 the scatter, k > 0 random factor k - 1.
// `fit` is of `data`. hi is infinite where no value is excluded.
StudyInterval ProfileSd(const MixedData& data, const MixedFit& fit,
                        std::size_t which, double level = 0.95);

// The same, the scatter first, from the curvature of the criterion at the
// estimates, symmetric on the logarithm: for many values, where profiles take
// long and say the same. A component of 0 has no upper end here (infinite).
std::vector<StudyInterval> CurvatureSds(const MixedData& data,
                                        const MixedFit& fit,
                                        double level = 0.95);

// nullopt with several random factors, known standard deviations, lower
// bounds, or a factor that cannot be told from the rest.
std::optional<StudyInterval> ExactIcc(const MixedData& data,
                                      double level = 0.95);

// Satterthwaite's degrees of freedom of sums of coefficients.
class CoefficientDof {
 public:
  CoefficientDof(const MixedData& data, const MixedFit& fit);
  // Of a'b; a has one entry a column.
  double Of(std::span<const double> a) const;

 private:
  std::size_t columns_;
  double residual_dof_;
  std::vector<double> cov_;                    // of the coefficients
  std::vector<std::vector<double>> gradient_;  // of cov_ by each sd
  std::vector<double> sd_cov_;                 // of the sds' estimates
};

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_MIXED_INTERVAL_H_
