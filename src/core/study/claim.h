// What a quoted pressure would mean in force: F = p A. A pressure says nothing
// about a bite until the area is told, and nobody measures the area of a bite:
// the same force is a small pressure on a wide grip and a huge one on a tooth's
// tip. These functions only answer a claim; the program never states a bite as
// a pressure.
//
// Both inputs may be ranges; the answer is the range that they span. Exact
// arithmetic of doubles, no rounding. Pure functions.
#ifndef MASSETER_CORE_STUDY_CLAIM_H_
#define MASSETER_CORE_STUDY_CLAIM_H_

#include <array>
#include <string_view>

#include "core/quantity/quantity.h"
#include "core/quantity/quantity_text.h"

namespace masseter {

// From the lowest pressure on the smallest area to the highest on the largest.
RangeOf<Force> ClaimedForce(const RangeOf<Pressure>& pressure,
                            const RangeOf<Area>& area);

// The areas on which the claimed pressure would be the measured force, A = F/p:
// from the smallest force at the highest pressure to the largest at the lowest.
RangeOf<Area> FittingAreas(const RangeOf<Force>& measured,
                           const RangeOf<Pressure>& pressure);

enum class ClaimFit {
  kFits,      // the claimed force and the measured one overlap
  kTooLarge,  // the whole claim lies above what was measured
  kTooSmall,  // the whole claim lies below it
};
ClaimFit CompareClaim(const RangeOf<Force>& claimed,
                      const RangeOf<Force>& measured);
// "fits", "too_large", "too_small".
std::string_view ClaimFitWord(ClaimFit fit);

// Areas that everybody can picture, to show how the same pressure spreads over
// all forces. No area here is that of a bite.
struct PicturedArea {
  std::string_view what;
  Area area;
};
const std::array<PicturedArea, 6>& PicturedAreas();

// The picture's two feet, by assumption: the tip of a narrow heel, 1 cm x 1 cm,
// and a snowshoe of 20 cm x 75 cm.
inline constexpr Area kHeelArea{1e-4};
inline constexpr Area kSnowshoeArea{0.15};

}  // namespace masseter

#endif  // MASSETER_CORE_STUDY_CLAIM_H_
