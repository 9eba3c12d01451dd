#include "core/metrology/calibration_uncertainty.h"

#include <gtest/gtest.h>

#include <cmath>

namespace masseter {
namespace {

Calibration WithPlaces(int places) {
  Calibration c;
  c.series = 3;
  for (int i = 0; i < places; ++i) {
    PositionFacts p;
    p.rows = 10;
    c.position_map.push_back(p);
  }
  c.relative.reference = 0.0004;
  return c;
}

// Coverage factors: JCGM 100:2008 (GUM), table G.2, p = 95 %, two decimals.
TEST(CalibrationUncertainty, TakesTheCoverageFactorOfItsPlaces) {
  Calibration c = WithPlaces(11);
  c.left_out_rms = 0.003;
  const CalibrationUncertainty u = UncertaintyOf(c);
  const double expected = std::sqrt(0.003 * 0.003 + 0.0004 * 0.0004);
  EXPECT_NEAR(u.standard_u, expected, 1e-15);
  // Welch-Satterthwaite by hand: u_c^4 / (u_place^4 / 10).
  EXPECT_NEAR(u.dof, 10.0 * std::pow(expected / 0.003, 4), 1e-9);
  EXPECT_NEAR(u.k, 2.23, 0.005);
  EXPECT_EQ(u.expanded_u95, u.k * u.standard_u);
  EXPECT_TRUE(u.parts.front().type_a);
  EXPECT_FALSE(u.parts.back().type_a);
}

TEST(CalibrationUncertainty, ThreePlacesHaveAWideFactor) {
  Calibration c = WithPlaces(3);
  c.relative.reference = 0.0;
  c.left_out_rms = 0.003;
  EXPECT_NEAR(UncertaintyOf(c).k, 4.30, 0.005);
}

TEST(CalibrationUncertainty, OnePlaceIsMostlyWhatNobodyLookedAt) {
  Calibration c = WithPlaces(1);
  c.relative.reproducibility = 0.0005;
  const CalibrationUncertainty u = UncertaintyOf(c);
  EXPECT_NEAR(u.standard_u, 0.05 / std::sqrt(3.0), 1e-4);
  // A rectangular guess has no degrees of freedom to speak of: k of the
  // normal distribution.
  EXPECT_NEAR(u.k, 1.96, 0.005);
}

}  // namespace
}  // namespace masseter
