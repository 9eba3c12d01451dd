// Other units, at the edges only. A unit is a quantity: `450.0 *
// unit::kPoundPerSquareInch` is a Pressure, and `ValueIn(force,
// unit::kPoundForce)` is a number; a pressure in pounds-force does not compile.
//
// Factors: NIST SP 811 (2008), appendix B, derived here from the exact
// definitions lb = 0.45359237 kg, in = 0.0254 m, g_n = 9.80665 m/s2.
// Everything is constexpr.
#ifndef MASSETER_CORE_QUANTITY_UNITS_H_
#define MASSETER_CORE_QUANTITY_UNITS_H_

#include <array>
#include <optional>
#include <string_view>

#include "core/quantity/quantity.h"

namespace masseter {
namespace unit {

inline constexpr Mass kKilogram{1.0};
inline constexpr Mass kGram{0.001};
inline constexpr Mass kPound{0.45359237};
inline constexpr Mass kOunce{0.45359237 / 16.0};

inline constexpr Length kMetre{1.0};
inline constexpr Length kCentimetre{0.01};
inline constexpr Length kMillimetre{0.001};
inline constexpr Length kInch{0.0254};
inline constexpr Length kFoot{0.3048};

inline constexpr Area kSquareMetre{1.0};
inline constexpr Area kSquareCentimetre{1e-4};
inline constexpr Area kSquareMillimetre{1e-6};
inline constexpr Area kSquareInch = kInch * kInch;
inline constexpr Area kSquareFoot = kFoot * kFoot;

inline constexpr Acceleration kMetrePerSecond2{1.0};
inline constexpr Acceleration kStandardGravity{9.80665};

inline constexpr Force kNewton{1.0};
inline constexpr Force kKilonewton{1000.0};
inline constexpr Force kDyne{1e-5};
inline constexpr Force kKilogramForce = kKilogram * kStandardGravity;
inline constexpr Force kGramForce = kKilogramForce / 1000.0;
inline constexpr Force kPoundForce = kPound * kStandardGravity;
inline constexpr Force kOunceForce = kPoundForce / 16.0;
inline constexpr Force kKip = kPoundForce * 1000.0;
inline constexpr Force kPoundal =
    kPound * kFoot / Duration(1.0) / Duration(1.0);
inline constexpr Force kShortTonForce = kPoundForce * 2000.0;

inline constexpr Pressure kPascal{1.0};
inline constexpr Pressure kHectopascal{100.0};
inline constexpr Pressure kKilopascal{1000.0};
inline constexpr Pressure kMegapascal{1e6};  // also N/mm2
inline constexpr Pressure kBar{1e5};
inline constexpr Pressure kMillibar{100.0};
inline constexpr Pressure kAtmosphere{101325.0};
inline constexpr Pressure kTorr = kAtmosphere / 760.0;
// Conventional millimetre of mercury: 13 595.1 kg/m3 under standard gravity.
inline constexpr Pressure kMillimetreOfMercury{133.322387415};
inline constexpr Pressure kKilogramForcePerSquareCentimetre{98066.5};
inline constexpr Pressure kPoundPerSquareInch = kPoundForce / kSquareInch;
inline constexpr Pressure kPoundPerSquareFoot = kPoundForce / kSquareFoot;

}  // namespace unit

// How many of `unit` a quantity of the same dimension is.
template <int M, int L, int T, int I>
constexpr double ValueIn(Quantity<M, L, T, I> quantity,
                         Quantity<M, L, T, I> unit) {
  return quantity.si() / unit.si();
}

// A unit and the symbol it is written with.
template <class Q>
struct NamedUnit {
  std::string_view symbol;
  Q unit;
};

inline constexpr std::array<NamedUnit<Mass>, 4> kMassUnits = {
    {{"kg", unit::kKilogram},
     {"g", unit::kGram},
     {"lb", unit::kPound},
     {"oz", unit::kOunce}}};

inline constexpr std::array<NamedUnit<Length>, 5> kLengthUnits = {
    {{"m", unit::kMetre},
     {"cm", unit::kCentimetre},
     {"mm", unit::kMillimetre},
     {"in", unit::kInch},
     {"ft", unit::kFoot}}};

inline constexpr std::array<NamedUnit<Area>, 8> kAreaUnits = {
    {{"m2", unit::kSquareMetre},
     {"cm2", unit::kSquareCentimetre},
     {"mm2", unit::kSquareMillimetre},
     {"in2", unit::kSquareInch},
     {"ft2", unit::kSquareFoot},
     {"m²", unit::kSquareMetre},
     {"cm²", unit::kSquareCentimetre},
     {"mm²", unit::kSquareMillimetre}}};

inline constexpr std::array<NamedUnit<Force>, 7> kForceUnits = {
    {{"N", unit::kNewton},
     {"kN", unit::kKilonewton},
     {"kgf", unit::kKilogramForce},
     {"gf", unit::kGramForce},
     {"lbf", unit::kPoundForce},
     {"ozf", unit::kOunceForce},
     {"kip", unit::kKip}}};

inline constexpr std::array<NamedUnit<Pressure>, 14> kPressureUnits = {
    {{"Pa", unit::kPascal},
     {"hPa", unit::kHectopascal},
     {"kPa", unit::kKilopascal},
     {"MPa", unit::kMegapascal},
     {"N/mm2", unit::kMegapascal},
     {"bar", unit::kBar},
     {"mbar", unit::kMillibar},
     {"psi", unit::kPoundPerSquareInch},
     {"psf", unit::kPoundPerSquareFoot},
     {"atm", unit::kAtmosphere},
     {"mmHg", unit::kMillimetreOfMercury},
     {"Torr", unit::kTorr},
     {"kgf/cm2", unit::kKilogramForcePerSquareCentimetre},
     {"N/m2", unit::kPascal}}};

// The unit of a symbol, exact spelling; nullopt when the table has none.
// `FindUnit(kPressureUnits, "psi")`.
template <class Units>
constexpr auto FindUnit(const Units& units, std::string_view symbol)
    -> std::optional<decltype(units[0].unit)> {
  for (const auto& named : units) {
    if (named.symbol == symbol) return named.unit;
  }
  return std::nullopt;
}

}  // namespace masseter

#endif  // MASSETER_CORE_QUANTITY_UNITS_H_
