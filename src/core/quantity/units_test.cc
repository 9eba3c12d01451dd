#include "core/quantity/units.h"

#include <gtest/gtest.h>

namespace masseter {
namespace {

// Everything is known when compiling.
static_assert(FindUnit(kForceUnits, "N")->si() == 1.0);
static_assert(!FindUnit(kForceUnits, "n"));

TEST(Units, PressureTimesAreaIsAForce) {
  const Force f =
      450.0 * unit::kPoundPerSquareInch * (1.5 * unit::kSquareCentimetre);
  // 450 psi on 1.5 cm2 by hand: 3.10264 MPa times 150 mm2.
  EXPECT_NEAR(ValueIn(f, unit::kNewton), 465.396, 0.001);
  EXPECT_NEAR(ValueIn(f, unit::kKilogramForce), 47.457, 0.001);
}

TEST(Units, ValueInUndoesTheUnit) {
  for (const auto& named : kPressureUnits) {
    EXPECT_DOUBLE_EQ(ValueIn(3.0 * named.unit, named.unit), 3.0)
        << named.symbol;
  }
}

TEST(Units, SymbolsAreFoundByTheirExactSpelling) {
  EXPECT_EQ(FindUnit(kAreaUnits, "cm²"), FindUnit(kAreaUnits, "cm2"));
  EXPECT_EQ(FindUnit(kPressureUnits, "N/mm2"), unit::kMegapascal);
  EXPECT_FALSE(FindUnit(kPressureUnits, "PSI").has_value());
  EXPECT_FALSE(FindUnit(kMassUnits, "").has_value());
}

}  // namespace
}  // namespace masseter
