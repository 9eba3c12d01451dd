// Gravity, air and dead weights beside the lines of the selftest.
#include <cmath>

#include "core/metrology/gravity.h"
#include "core/metrology/reference_force.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

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

TEST(AirDensity, SimplifiedFormStaysWhereR111SaysAndTablesPrintIt) {
  // OIML R 111-1:2004 E.3-1 states 2e-4 between it and CIPM-2007.
  for (const double t : {15.0, 20.0, 27.0}) {
    for (const double p : {95000.0, 101325.0}) {
      for (const double h : {0.2, 0.5, 0.8}) {
        const Air air{t, Pressure(p), h, 0.0004};
        EXPECT_NEAR(AirDensitySimplified(air)->si() / AirDensity(air)->si(),
                    1.0, 2e-4);
      }
    }
  }
  // Two rows of a printed air density table (Mass Metrology, appendix).
  EXPECT_NEAR(AirDensity({10, Pressure(97325.3), 0.4, 0.0004})->si(), 1.19569,
              1e-4);
  EXPECT_NEAR(AirDensity({40, Pressure(101325.0), 0.4, 0.0004})->si(), 1.11497,
              1e-4);
}

TEST(ReferenceForce, ConventionalMassHidesTheWeightsDensityInNormalAir) {
  // OIML D 28; closed form in Python.
  for (const double density : {7850.0, 7150.0, 2700.0}) {
    EXPECT_NEAR(ConventionalMassForce(Mass(20), kStandardGravity, Density(1.2),
                                      Density(density))
                    ->si(),
                196.10358004999998, 1e-12);
  }
}

}  // namespace
}  // namespace masseter
