// Steps of `compare` that stand on a finished fit: coefficients, breeds, and
// the words of caution. Used by compare_answer.cc alone.
#ifndef MASSETER_APP_COMPARE_PARTS_H_
#define MASSETER_APP_COMPARE_PARTS_H_

#include <span>

#include "app/compare_answer.h"
#include "core/study/mixed_draws.h"

namespace masseter {

// Variance of a'b.
double LinearVariance(const MixedFit& fit, std::span<const double> a);

// The roster's or table's breed of each dog, by the first of its rows.
void AddBreedNames(CompareAnswer& answer, const StudyRows& rows);
// Every row's bite as it will be drawn, void ones too.
void AddSeenBites(CompareAnswer& answer, const StudyRows& rows);
// Coefficients with intervals. `draws` (targets: the dogs, then every
// coefficient) may be null.
void AddTerms(CompareAnswer& answer, const MixedDraws* draws);
// Means of each breed with the other terms at their averages, and differences
// (Bonferroni over the pairs); only where breed is a fixed term.
void AddBreeds(CompareAnswer& answer, const MixedDraws* draws);
void AddNotes(CompareAnswer& answer);

}  // namespace masseter

#endif  // MASSETER_APP_COMPARE_PARTS_H_
