#include "core/study/claim.h"

#include "core/quantity/units.h"

namespace masseter {

RangeOf<Force> ClaimedForce(const RangeOf<Pressure>& pressure,
                            const RangeOf<Area>& area) {
  return {pressure.low * area.low, pressure.high * area.high};
}

RangeOf<Area> FittingAreas(const RangeOf<Force>& measured,
                           const RangeOf<Pressure>& pressure) {
  return {measured.low / pressure.high, measured.high / pressure.low};
}

ClaimFit CompareClaim(const RangeOf<Force>& claimed,
                      const RangeOf<Force>& measured) {
  if (claimed.low > measured.high) return ClaimFit::kTooLarge;
  if (claimed.high < measured.low) return ClaimFit::kTooSmall;
  return ClaimFit::kFits;
}

std::string_view ClaimFitWord(ClaimFit fit) {
  switch (fit) {
    case ClaimFit::kTooLarge:
      return "too_large";
    case ClaimFit::kTooSmall:
      return "too_small";
    case ClaimFit::kFits:
      break;
  }
  return "fits";
}

const std::array<PicturedArea, 6>& PicturedAreas() {
  static constexpr std::array<PicturedArea, 6> kAreas = {
      {{"1 mm x 1 mm", unit::kSquareMillimetre},
       {"2 mm x 5 mm", 10.0 * unit::kSquareMillimetre},
       {"1 cm x 1 cm", unit::kSquareCentimetre},
       {"1 inch x 1 inch", unit::kSquareInch},
       {"5 cm x 5 cm", 25.0 * unit::kSquareCentimetre},
       {"10 cm x 10 cm", 100.0 * unit::kSquareCentimetre}}};
  return kAreas;
}

}  // namespace masseter
