#include "core/bench/ring_down.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace masseter {
namespace {

constexpr double kTwoPi = 2.0 * std::numbers::pi;

// The Numerical Recipes generator; (0, 1) less a half.
std::vector<double> Lcg(std::size_t n, unsigned seed) {
  std::vector<double> out(n);
  for (double& v : out) {
    seed = 1664525U * seed + 1013904223U;
    v = seed / 4294967296.0 - 0.5;
  }
  return out;
}

TEST(RingDown, RecoversAnExactRingDownByItsClosedForm) {
  // f_n = 210 Hz, zeta = 0.08: s = zeta w_n, w_d = w_n sqrt(1 - zeta^2).
  const double wn = kTwoPi * 210.0;
  std::vector<double> x(120);
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double t = static_cast<double>(i) / 1000.0;
    x[i] = 50.0 + 300.0 * std::exp(-0.08 * wn * t) *
                      std::cos(wn * std::sqrt(1.0 - 0.0064) * t + 0.4);
  }
  const auto ring = FitRingDown(x, 1000.0);
  ASSERT_TRUE(ring) << ring.error().Text();
  EXPECT_NEAR(ring->system.natural_hz, 210.0, 1e-6);
  EXPECT_NEAR(ring->system.damping, 0.08, 1e-8);
}

// The same data through scipy 1.10.1 optimize.curve_fit (all tolerances
// 1e-15): x = exp(-s t)(a cos wt + b sin wt) + c + d t + 30 lcg(12345), 160
// samples at 1 kHz, s 55, w 2 pi 187.3, a 800, b -300, c 120, d 40. Standard
// uncertainties by the covariance curve_fit gives, carried through
// f_n = |(s, w)| / 2 pi and zeta = s / |(s, w)|.
TEST(RingDown, AgreesWithScipyCurveFitOnNoisyData) {
  const auto noise = Lcg(160, 12345);
  std::vector<double> x(160);
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double t = static_cast<double>(i) / 1000.0;
    const double w = kTwoPi * 187.3;
    x[i] = std::exp(-55.0 * t) *
               (800.0 * std::cos(w * t) - 300.0 * std::sin(w * t)) +
           120.0 + 40.0 * t + 30.0 * noise[i];
  }
  const auto ring = FitRingDown(x, 1000.0);
  ASSERT_TRUE(ring) << ring.error().Text();
  EXPECT_NEAR(ring->system.natural_hz, 187.51109294041123, 1e-5);
  EXPECT_NEAR(ring->system.damping, 0.046630244702099685, 1e-7);
  EXPECT_NEAR(ring->residual_sd, 8.279546453968477, 1e-6);
  EXPECT_NEAR(ring->system.natural_u_hz, 0.07932911314960418, 1e-4);
  EXPECT_NEAR(ring->system.damping_u, 0.0004116811964942304, 1e-6);
}

// Taps on a quiet sleeve: a short half-sine blow, then the ring.
std::vector<double> Tapped(int taps, double natural_hz, double zeta,
                           double rate) {
  auto x = Lcg(static_cast<std::size_t>(rate * (taps + 1)), 99);
  const double wn = kTwoPi * natural_hz;
  for (double& v : x) v = 500.0 + 4.0 * v;
  for (int k = 1; k <= taps; ++k) {
    for (std::size_t i = 0; i < x.size(); ++i) {
      const double t = static_cast<double>(i) / rate - k;
      if (t < 0.0) continue;
      if (t < 0.003) x[i] += 2500.0 * std::sin(std::numbers::pi * t / 0.003);
      x[i] += 900.0 * std::exp(-zeta * wn * t) *
              std::sin(wn * std::sqrt(1.0 - zeta * zeta) * t);
    }
  }
  return x;
}

TEST(RingDown, FiveTapsGiveOneRingWithItsUncertainty) {
  const auto x = Tapped(5, 180.0, 0.06, 1000.0);
  EXPECT_EQ(FindTaps(x, 1000.0).size(), 5U);
  const auto test = MeasureTaps(x, 1000.0, 3.0);
  ASSERT_TRUE(test) << test.error().Text();
  EXPECT_EQ(test->taps.size(), 5U);
  EXPECT_NEAR(test->system.natural_hz, 180.0,
              3.0 * test->system.natural_u_hz + 0.01);
  EXPECT_NEAR(test->system.damping, 0.06, 3.0 * test->system.damping_u + 1e-4);
  EXPECT_LT(test->system.natural_u_hz, 1.0);
  EXPECT_NEAR(test->taps[0].at_s, 4.0, 0.02);
  EXPECT_TRUE(test->warnings.empty());
}

TEST(RingDown, WarnsOfFewTapsAndOfARingNearHalfTheSamplingRate) {
  const auto x = Tapped(1, 450.0, 0.02, 1000.0);
  const auto test = MeasureTaps(x, 1000.0, 0.0);
  ASSERT_TRUE(test) << test.error().Text();
  EXPECT_EQ(test->warnings.size(), 2U);
  EXPECT_TRUE(Folded(450.0, 1000.0));
  EXPECT_FALSE(Folded(399.0, 1000.0));
}

TEST(RingDown, QuietAndDeadSleevesAreRefusedWithAReason) {
  auto quiet = Lcg(3000, 5);
  EXPECT_FALSE(MeasureTaps(quiet, 1000.0, 0.0));
  for (std::size_t i = 1000; i < 1010; ++i) quiet[i] += 900.0;  // no ring
  EXPECT_FALSE(MeasureTaps(quiet, 1000.0, 0.0));
  const std::vector<double> still(3000, 7.0);
  EXPECT_FALSE(MeasureTaps(still, 1000.0, 0.0));
}

}  // namespace
}  // namespace masseter
