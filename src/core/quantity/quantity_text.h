// Quantities as people type them: "450 psi", "1-3 cm2", "743 ± 6 N",
// "2.5 in²", "1 cm2 to 1 in2". A number and its unit, or a range of them.
//
// Forms: the number is decimal with a point (an exponent is legal), the unit
// may stand against it. A range is written with "-", "–", "..", "to" or "±";
// one unit may serve both ends. Areas also as "mm^2", "sq in", "square inches";
// pressures also as "lbf/in2" or "kgf/cm²". The case of letters has no say,
// but for "MPa": "mpa" could be millipascal and is refused.
//
// Refused, each in one sentence: no text, no number, no unit, a unit nobody
// knows, a unit of another dimension (psi is no force, lbf no pressure), mass
// units for a force (kg, lb), a decimal comma, a value that is not finite or
// not above zero, a range whose ends stand the wrong way round.
//
// Factors come from core/quantity/units.h (NIST SP 811, exact definitions).
// Pure functions; safe from several threads. No locale.
#ifndef MASSETER_CORE_QUANTITY_QUANTITY_TEXT_H_
#define MASSETER_CORE_QUANTITY_QUANTITY_TEXT_H_

#include <string>
#include <string_view>

#include "core/base/error.h"
#include "core/quantity/quantity.h"

namespace masseter {

// From `low` to `high`, the same for a single value.
template <class Q>
struct RangeOf {
  Q low;
  Q high;
  bool single() const { return low == high; }
  Q middle() const { return (low + high) / 2.0; }
};

// `where` names the option or the place in a file for the error's sentence.
Expected<RangeOf<Pressure>> ReadPressure(std::string_view text,
                                         const std::string& where);
Expected<RangeOf<Area>> ReadArea(std::string_view text,
                                 const std::string& where);
Expected<RangeOf<Force>> ReadForce(std::string_view text,
                                   const std::string& where);

}  // namespace masseter

#endif  // MASSETER_CORE_QUANTITY_QUANTITY_TEXT_H_
