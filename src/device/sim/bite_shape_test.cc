#include "device/sim/bite_shape.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "device/sim/day.h"
#include "device/sim/portable_math.h"
#include "device/sim/random.h"

namespace masseter::sim {
namespace {

BiteShape StrikeOnly() {
  BiteShape shape;
  shape.length_s = 0.5;
  shape.strike_n = 1000.0;
  shape.strike_s = 0.1;
  shape.release_s = 0.05;
  return shape;
}

// A half-sine of height A and width T: peak A at T/2, integral 2 A T / pi.
TEST(BiteShape, AStrikeAloneIsAHalfSine) {
  const ShapeFigures f = FiguresOf(StrikeOnly());
  EXPECT_NEAR(f.peak_n, 1000.0, 1e-9);
  EXPECT_NEAR(f.peak_at_s, 0.05, 1e-4);
  EXPECT_NEAR(f.strike_n, 1000.0, 1e-9);
  EXPECT_NEAR(f.impulse_ns, 2.0 * 1000.0 * 0.1 / kPi, 1e-3);
  ASSERT_TRUE(f.squeeze_n.has_value());
  EXPECT_DOUBLE_EQ(*f.squeeze_n, 0.0);
}

TEST(BiteShape, ASteadySqueezeIsFoundAtItsLevel) {
  BiteShape shape;
  shape.squeeze_n = 600.0;
  shape.rise_s = 0.3;
  const ShapeFigures f = FiguresOf(shape);
  EXPECT_NEAR(f.peak_n, 600.0, 1e-9);
  ASSERT_TRUE(f.squeeze_n.has_value());
  EXPECT_NEAR(*f.squeeze_n, 600.0, 1e-9);
  EXPECT_LT(f.strike_n, 600.0);
}

TEST(BiteShape, ABiteTooShortForASqueezeHasNone) {
  BiteShape shape = StrikeOnly();
  shape.length_s = 0.3;
  EXPECT_FALSE(FiguresOf(shape).squeeze_n.has_value());
}

TEST(BiteShape, ARegripLetsGoByItsDepth) {
  BiteShape shape;
  shape.squeeze_n = 600.0;
  shape.regrips.push_back({1.0, 0.2, 0.8});
  EXPECT_NEAR(ForceAt(shape, 1.0), 600.0 * 0.2, 1e-9);
  EXPECT_NEAR(ForceAt(shape, 0.89), 600.0, 1e-9);
  EXPECT_NEAR(ForceAt(shape, 1.11), 600.0, 1e-9);
}

TEST(BiteShape, AShakeOscillatesAtItsFrequency) {
  BiteShape shape;
  shape.squeeze_n = 600.0;
  shape.shakes.push_back({0.6, 1.0, 4.0, 0.2});
  int crossings = 0;
  for (int k = 6001; k < 16000; ++k) {
    const double before = ForceAt(shape, 1e-4 * (k - 1)) - 600.0;
    const double now = ForceAt(shape, 1e-4 * k) - 600.0;
    if (before < 0.0 && now >= 0.0) ++crossings;
  }
  EXPECT_EQ(crossings, 3);  // upward, between 0.6 s and 1.6 s, ends left out
}

TEST(BiteShape, ForceIsNeverNegativeAndZeroOutsideTheBite) {
  Random random(3, 1);
  for (int trial = 0; trial < 200; ++trial) {
    SimDog dog;
    dog.shake_chance = 1.0;
    dog.regrip_chance = 1.0;
    const BiteShape shape = DrawBite(dog, 3000.0, random);
    EXPECT_EQ(ForceAt(shape, -0.001), 0.0);
    EXPECT_EQ(ForceAt(shape, shape.length_s + 0.001), 0.0);
    for (double t = 0.0; t < shape.length_s; t += 0.003) {
      ASSERT_GE(ForceAt(shape, t), 0.0);
    }
    // No step at either end.
    EXPECT_LT(ForceAt(shape, 1e-4), 20.0);
    EXPECT_LT(ForceAt(shape, shape.length_s - 1e-4), 1.0);
  }
}

TEST(BiteShape, TheGripWalksFromItsStartToItsEnd) {
  BiteShape shape;
  shape.grip.x_mm = 10.0;
  shape.walk_x_mm = 6.0;
  EXPECT_DOUBLE_EQ(GripAt(shape, 0.0).x_mm, 10.0);
  EXPECT_DOUBLE_EQ(GripAt(shape, shape.length_s).x_mm, 16.0);
}

}  // namespace
}  // namespace masseter::sim
