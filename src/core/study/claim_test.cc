#include "core/study/claim.h"

#include <gtest/gtest.h>

#include <cmath>

namespace masseter {
namespace {

struct Case {
  const char* pressure;
  const char* area;
  double force_n;
};

// By hand: exact fractions of lb = 0.45359237 kg, in = 0.0254 m, g_n = 9.80665
// m/s2 (NIST SP 811, 2008, appendix B), F = p A, printed to nine digits.
TEST(Claim, AgreesWithHandCalculationToSixDigits) {
  const Case cases[] = {
      {"450 psi", "1.5 cm2", 465.396117},
      {"235 psi", "1 in2", 1045.33208},
      {"328 psi", "0.25 in²", 364.754172},
      {"2000 psi", "1 mm2", 13.7895146},
      {"743 psi", "20 mm²", 102.456093},
      {"1 psi", "1 m2", 6894.75729},
      {"100 kPa", "1 cm2", 10.0},
      {"3447.5 kPa", "2.5 cm²", 861.875},
      {"2.2 MPa", "150 mm2", 330.0},
      {"49.4 MPa", "5 mm²", 247.0},
      {"12.4 MPa", "20 mm^2", 248.0},
      {"16 bar", "3 cm2", 480.0},
      {"7.5 bar", "1 in2", 483.87},
      {"30 kgf/cm2", "2 cm2", 588.399},
      {"1.25 kgf/cm²", "10 in2", 790.857289},
      {"238 lbf/in2", "1.5 sq in", 1588.01512},
      {"101325 Pa", "645.16 mm2", 65.370837},
      {"5 N/mm2", "80 mm2", 400.0},
      {"1e3 PSI", "0.75 cm²", 517.106797},
      {"0.5 MPa", "3 in2", 967.74},
  };
  EXPECT_EQ(std::size(cases), 20U);
  for (const Case& c : cases) {
    const auto p = ReadPressure(c.pressure, "p");
    const auto a = ReadArea(c.area, "a");
    ASSERT_TRUE(p && a) << c.pressure << " on " << c.area;
    const RangeOf<Force> f = ClaimedForce(*p, *a);
    EXPECT_NEAR(f.low.si() / c.force_n, 1.0, 1e-8) << c.pressure;
    EXPECT_TRUE(f.single());
  }
}

TEST(Claim, SpansTheForcesThatItsRangesAllow) {
  const RangeOf<Force> f = ClaimedForce(*ReadPressure("100-200 kPa", "p"),
                                        *ReadArea("1-3 cm2", "a"));
  EXPECT_DOUBLE_EQ(f.low.si(), 10.0);
  EXPECT_DOUBLE_EQ(f.high.si(), 60.0);
}

TEST(Claim, FindsTheAreasOnWhichItWouldFit) {
  const auto measured = *ReadForce("700-800 N", "m");
  const auto pressure = *ReadPressure("2-4 MPa", "p");
  const RangeOf<Area> a = FittingAreas(measured, pressure);
  EXPECT_DOUBLE_EQ(a.low.si(), 175e-6);
  EXPECT_DOUBLE_EQ(a.high.si(), 400e-6);
}

TEST(Claim, SaysOnWhichSideItMisses) {
  const auto measured = *ReadForce("700-800 N", "m");
  EXPECT_EQ(CompareClaim(*ReadForce("750 N", "c"), measured), ClaimFit::kFits);
  EXPECT_EQ(CompareClaim(*ReadForce("100-900 N", "c"), measured),
            ClaimFit::kFits);
  EXPECT_EQ(CompareClaim(*ReadForce("801 N", "c"), measured),
            ClaimFit::kTooLarge);
  EXPECT_EQ(CompareClaim(*ReadForce("10-699 N", "c"), measured),
            ClaimFit::kTooSmall);
}

}  // namespace
}  // namespace masseter
