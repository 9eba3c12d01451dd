// The reference force of the bench and its uncertainty, line by line (GUM):
//
//   F = L m g (1 - rho_air / rho_weight)      dead weights (mass_kg)
//   F = L F_ref                               a reference transducer (force_n)
//
// with the lever or pulley factor L, 1 without one. Weights of a stated class
// are taken by conventional mass (OIML D 28). The lines are not correlated
// with each other and common to all loads.
#ifndef MASSETER_CORE_METROLOGY_REFERENCE_BUDGET_H_
#define MASSETER_CORE_METROLOGY_REFERENCE_BUDGET_H_

#include <vector>

#include "core/base/error.h"
#include "core/metrology/calibration.h"
#include "core/metrology/calibration_parts.h"
#include "core/metrology/readings.h"

namespace masseter {

// Newtons of one reading's load.
Expected<double> ReferenceForceOf(const Reading& reading,
                                  const CalibrateOptions& options);

// The lines; contributions are relative standard uncertainties. For weights
// the class's tolerance is that of the load where it is worst.
std::vector<ReferenceTerm> ReferenceBudget(const ReadingsTable& readings,
                                           const CalibrateOptions& options);

// Root sum of squares of the contributions.
double ReferenceRelativeU(const std::vector<ReferenceTerm>& budget);

}  // namespace masseter

#endif  // MASSETER_CORE_METROLOGY_REFERENCE_BUDGET_H_
