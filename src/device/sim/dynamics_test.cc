#include "device/sim/dynamics.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "device/sim/portable_math.h"

namespace masseter::sim {
namespace {

// Step answer of a damped oscillator (any vibration textbook):
// 1 - exp(-zeta w t) (cos wd t + zeta w / wd sin wd t).
TEST(SecondOrder, FollowsTheClosedFormStepAnswer) {
  const double f = 417.0;
  const double zeta = 0.08;
  const double step = 1e-4;
  SecondOrder system(f, zeta, step);
  const double w = 2.0 * kPi * f;
  const double wd = w * std::sqrt(1.0 - zeta * zeta);
  for (int k = 1; k <= 300; ++k) {
    const double t = k * step;
    const double expected =
        1.0 - std::exp(-zeta * w * t) *
                  (std::cos(wd * t) + zeta * w / wd * std::sin(wd * t));
    EXPECT_NEAR(system.Step(1.0), expected, 1e-11) << t;
  }
}

// A Butterworth low-pass of order two: |H| = 1 / sqrt(1 + (f / fc)^4).
TEST(SecondOrder, IsAButterworthLowPassAtOneOverRootTwo) {
  const double step = 1e-5;
  for (const double f : {50.0, 250.0, 500.0}) {
    SecondOrder low_pass(250.0, std::sqrt(0.5), step);
    double highest = 0.0;
    for (int k = 0; k < 100000; ++k) {
      const double y =
          low_pass.Step(std::sin(2.0 * kPi * f * (k + 0.5) * step));
      if (k > 50000) highest = std::max(highest, y);
    }
    EXPECT_NEAR(highest, 1.0 / std::sqrt(1.0 + std::pow(f / 250.0, 4)), 2e-4)
        << f;
  }
}

TEST(FirstOrder, ReachesOneMinusOneOverEAfterItsTimeConstant) {
  FirstOrder lag(0.5, 0.001);
  for (int k = 0; k < 500; ++k) lag.Step(1.0);
  EXPECT_NEAR(lag.value(), 1.0 - std::exp(-1.0), 1e-12);
}

TEST(Play, LagsByItsWidthUpAndDownAndRemembersItsTurn) {
  Play play(2.0);
  EXPECT_DOUBLE_EQ(play.Step(1.0), 0.0);
  EXPECT_DOUBLE_EQ(play.Step(10.0), 8.0);
  EXPECT_DOUBLE_EQ(play.Step(9.0), 8.0);
  EXPECT_DOUBLE_EQ(play.Step(0.0), 2.0);
}

}  // namespace
}  // namespace masseter::sim
