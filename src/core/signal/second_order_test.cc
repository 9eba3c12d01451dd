#include "core/signal/second_order.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace masseter {
namespace {

// Gains: scipy 1.10.1, signal.freqs([w^2], [1, 2 zeta w, w^2]), w = 2 pi 300,
// zeta = 0.05; full double precision.
TEST(SecondOrder, GainAgreesWithScipyFreqs) {
  const SecondOrder s{300.0, 0.05, 0.0, 0.0};
  EXPECT_NEAR(AmplitudeGain(s, 10.0), 1.0011067729835315, 1e-14);
  EXPECT_NEAR(AmplitudeGain(s, 50.0), 1.028420324848868, 1e-14);
  EXPECT_NEAR(AmplitudeGain(s, 150.0), 1.3303802104754785, 1e-14);
  EXPECT_NEAR(AmplitudeGain(s, 300.0), 10.0, 1e-12);
  EXPECT_NEAR(AmplitudeGain(s, 400.0), 1.2672286133313424, 1e-14);
}

TEST(SecondOrder, FlatBandIsWhereTheErrorReachesTheTolerance) {
  for (const double zeta : {0.0, 0.02, 0.3, 0.7, 0.95}) {
    const SecondOrder s{250.0, zeta, 0.0, 0.0};
    const double f = FlatBand(s, 0.02);
    EXPECT_NEAR(std::abs(AmplitudeError(s, f)), 0.02, 1e-12) << zeta;
    for (double g = 0.05; g < 1.0; g += 0.05) {
      EXPECT_LT(std::abs(AmplitudeError(s, g * f)), 0.02) << zeta;
    }
  }
}

// Largest |y - 1| after the ramp: scipy 1.10.1, signal.lsim over 400001 steps.
TEST(SecondOrder, RingAfterARampStaysBelowTheBoundAndNotFarBelow) {
  const SecondOrder s{300.0, 0.05, 0.0, 0.0};
  struct Case {
    double rise_s, by_scipy;
  };
  for (const Case c :
       {Case{0.005, 0.058911589405183484}, Case{0.013, 0.026361936896113436},
        Case{0.06, 0.006527675249164533}}) {
    EXPECT_GE(RingAfterRise(s, c.rise_s), c.by_scipy);
    EXPECT_LE(RingAfterRise(s, c.rise_s), 4.0 * c.by_scipy);
  }
}

TEST(SecondOrder, UndampedRingAfterARampIsTheClassicalTwoOverOmegaT) {
  const SecondOrder s{100.0, 0.0, 0.0, 0.0};
  EXPECT_NEAR(RingAfterRise(s, 0.08), 1.0 / (std::numbers::pi * 100.0 * 0.1),
              1e-12);
  EXPECT_NEAR(RingAfterRise(s, 0.0), 1.0, 1e-12);
}

TEST(SecondOrder, WorseIsLowerAndLessDamped) {
  const SecondOrder w = WorseOf({300.0, 0.05, 4.0, 0.03});
  EXPECT_EQ(w.natural_hz, 292.0);
  EXPECT_EQ(w.damping, 0.0);
}

}  // namespace
}  // namespace masseter
