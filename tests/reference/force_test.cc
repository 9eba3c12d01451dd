// Gravity, air, dead weights and unit factors against their standards.
#include <cmath>

#include "core/metrology/gravity.h"
#include "core/metrology/reference_force.h"
#include "core/quantity/units.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

TEST(Gravity, Grs80OnTheEllipsoid) {
  // Moritz, J. Geodesy 74 (2000) 128: published 9.780 326 771 5 (equator),
  // 9.806 199 203 (45 degrees), 9.832 186 368 5 (pole); between them the
  // closed form computed in Python. The published digits end at 1e-9 or 1e-10;
  // k has ten digits, which leaves 1e-11 at the pole.
  EXPECT_NEAR(NormalGravity(0, 0)->si(), 9.7803267715, 1e-13);
  EXPECT_NEAR(NormalGravity(45, 0)->si(), 9.806199203, 1e-9);
  EXPECT_NEAR(NormalGravity(90, 0)->si(), 9.8321863685, 1e-10);
  const double points[][2] = {
      {15, 9.783786397620055},     {30, 9.79324870357239},
      {45, 9.8061992024865},       {50, 9.810703568280108},
      {52.295, 9.812734533917215}, {60, 9.819178384982914},
      {75, 9.828698058439707},     {90, 9.832186368481922}};
  for (const auto& [latitude, g] : points) {
    EXPECT_NEAR(NormalGravity(latitude, 0)->si(), g, 1e-13) << latitude;
    EXPECT_NEAR(NormalGravity(-latitude, 0)->si(), g, 1e-13) << latitude;
  }
}

TEST(Gravity, Wgs84WithHeightToSecondOrder) {
  // NIMA TR8350.2 gives the equator and the pole; the grid is its formula
  // computed in Python.
  const double grid[][3] = {
      {0, 0, 9.7803253359},          {0, 100, 9.780016574048782},
      {0, 500, 9.77878167089425},    {0, 1000, 9.777238366514368},
      {0, 2500, 9.772610617129914},  {45, 0, 9.806197769373233},
      {45, 100, 9.805889221706805},  {45, 500, 9.804655175673032},
      {45, 1000, 9.803112943552682}, {45, 2500, 9.798488416670729},
      {90, 0, 9.832184937859008},    {90, 100, 9.831876606219518},
      {90, 500, 9.830643424676781},  {90, 1000, 9.829102274032616},
      {90, 2500, 9.824480997328507}};
  for (const auto& [latitude, height, g] : grid) {
    EXPECT_NEAR(NormalGravity(latitude, height, kWgs84)->si(), g, 1e-12)
        << latitude << " degrees, " << height << " m";
  }
}

TEST(Gravity, TheShortSeriesOfWeighingPracticeIsWithinAPartInAMillion) {
  // 9.780327 (1 + 0.0053024 sin^2 - 0.0000058 sin^2 2phi) - 3.086e-6 h, values
  // computed in Python. On the ellipsoid the series is within 7e-7; its height
  // term drops the latitude and the square, 1e-8 a metre at most.
  const double points[][3] = {{0, 0, 9.780327},
                              {45, 0, 9.8061998770458},
                              {90, 0, 9.832186205884799},
                              {52.295, 80, 9.81248827536039},
                              {39.13, 130, 9.8005251265895},
                              {40, 1600, 9.796761359242305}};
  for (const auto& [latitude, height, g] : points) {
    EXPECT_NEAR(NormalGravity(latitude, height)->si(), g, 7e-7 + 1e-8 * height)
        << latitude;
  }
}

struct AirPoint {
  double t;
  double p;
  double h;
  double cipm2007;
  double simplified;
};

TEST(AirDensity, Cipm2007AndOimlSimplified) {
  // Picard et al., Metrologia 45 (2008) 149, and OIML R 111-1:2004 E.3-1,
  // computed in Python; R 111 states 2e-4 between them.
  const AirPoint points[] = {
      {20, 101325, 0.5, 1.1993138954744933, 1.1992943050311118},
      {15, 101325, 0.2, 1.2239640893907757, 1.2238346016125532},
      {25, 99000, 0.6, 1.1487382623975178, 1.1487969896782644},
      {23, 95000, 0.4, 1.112878362482081, 1.1129216336990493},
      {27, 102000, 0.8, 1.1717471184417376, 1.1717867890957874}};
  for (const AirPoint& a : points) {
    const Air air{a.t, Pressure(a.p), a.h, 0.0004};
    EXPECT_NEAR(AirDensity(air)->si(), a.cipm2007, 1e-12);
    EXPECT_NEAR(AirDensitySimplified(air)->si(), a.simplified, 1e-12);
    EXPECT_NEAR(AirDensitySimplified(air)->si() / AirDensity(air)->si(), 1.0,
                2e-4);
  }
  // Two rows of a printed air density table (Mass Metrology, appendix).
  EXPECT_NEAR(AirDensity({10, Pressure(97325.3), 0.4, 0.0004})->si(), 1.19569,
              1e-4);
  EXPECT_NEAR(AirDensity({40, Pressure(101325.0), 0.4, 0.0004})->si(), 1.11497,
              1e-4);
}

TEST(ReferenceForce, TwentyKilogramsOfSteelInAir) {
  // Closed form, EURAMET cg-4: F = m g (1 - rho_a / rho_m).
  const auto f = DeadWeightForce(Mass(20), kStandardGravity);
  ASSERT_TRUE(f.has_value());
  EXPECT_NEAR(f->si(), 196.10358004999998, 1e-12);
  EXPECT_NEAR(f->si() / (20 * 9.80665) - 1.0, -0.00015, 1e-14);
}

TEST(ReferenceForce, ConventionalMassHidesTheWeightsDensityInNormalAir) {
  // OIML D 28; closed form in Python.
  for (const double density : {7850.0, 7150.0, 2700.0}) {
    EXPECT_NEAR(ConventionalMassForce(Mass(20), kStandardGravity, Density(1.2),
                                      Density(density))
                    ->si(),
                196.10358004999998, 1e-12);
  }
  EXPECT_NEAR(ConventionalMassForce(Mass(20), Acceleration(9.812),
                                    Density(1.15), Density(7850))
                  ->si(),
              196.21181393988888, 1e-12);
}

TEST(Units, FactorsOfSp811) {
  // NIST SP 811 (2008), appendix B: exact values from the definitions, and the
  // seven digits it prints.
  struct Factor {
    double got;
    double exact;
    double printed;
  };
  const Factor factors[] = {
      {unit::kPoundForce.si(), 4.4482216152605, 4.448222},
      {unit::kKilogramForce.si(), 9.80665, 9.80665},
      {unit::kOunceForce.si(), 0.2780138509537812, 0.2780139},
      {unit::kKip.si(), 4448.2216152605, 4448.222},
      {unit::kDyne.si(), 1e-5, 1e-5},
      {unit::kPoundal.si(), 0.13825495437600002, 0.138255},
      {unit::kShortTonForce.si(), 8896.443230521, 8896.443},
      {unit::kPoundPerSquareInch.si(), 6894.757293168361, 6894.757},
      {unit::kPoundPerSquareFoot.si(), 47.88025898033584, 47.88026},
      {unit::kBar.si(), 100000.0, 100000.0},
      {unit::kAtmosphere.si(), 101325.0, 101325.0},
      {unit::kMillimetreOfMercury.si(), 133.322387415, 133.3224},
      {unit::kTorr.si(), 133.32236842105263, 133.3224},
      {unit::kKilogramForcePerSquareCentimetre.si(), 98066.5, 98066.5},
      {unit::kMegapascal.si(), 1e6, 1e6},
      {unit::kPound.si(), 0.45359237, 0.45359237},
      {unit::kInch.si(), 0.0254, 0.0254}};
  for (const Factor& f : factors) {
    EXPECT_NEAR(f.got, f.exact, 1e-14 * f.exact);
    EXPECT_NEAR(f.got, f.printed, 5e-7 * f.printed);
  }
}

}  // namespace
}  // namespace masseter
