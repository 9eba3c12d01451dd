#include "device/sim/random.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdint>

#include "device/sim/portable_math.h"

namespace masseter::sim {
namespace {

// Source: output of the demonstration program of the PCG C library for seed
// 42, sequence 54 (O'Neill, pcg-random.org), round 1.
TEST(Random, GivesThePublishedSequence) {
  Random random(42, 54);
  const std::array<std::uint32_t, 6> published = {
      0xa15c02b7, 0x7b47f409, 0xba1d3330, 0x83d2f293, 0xbfa4784b, 0xcbed606e};
  for (const std::uint32_t word : published) EXPECT_EQ(random.Next(), word);
}

TEST(Random, NormalDeviatesHaveTheMomentsOfANormalDistribution) {
  Random random(1, 1);
  const int n = 200000;
  double m1 = 0.0;
  double m2 = 0.0;
  double m3 = 0.0;
  double m4 = 0.0;
  for (int i = 0; i < n; ++i) {
    const double z = random.Normal();
    m1 += z / n;
    m2 += z * z / n;
    m3 += z * z * z / n;
    m4 += z * z * z * z / n;
  }
  // Four standard errors: 1, sqrt 2, sqrt 15, sqrt 96 over sqrt n.
  const double se = 1.0 / std::sqrt(n);
  EXPECT_NEAR(m1, 0.0, 4 * se);
  EXPECT_NEAR(m2, 1.0, 4 * se * std::sqrt(2.0));
  EXPECT_NEAR(m3, 0.0, 4 * se * std::sqrt(15.0));
  EXPECT_NEAR(m4, 3.0, 4 * se * std::sqrt(96.0));
}

TEST(Random, LogNormalHasTheAskedMedianAndSpread) {
  Random random(2, 1);
  const int n = 100000;
  double mean = 0.0;
  double square = 0.0;
  for (int i = 0; i < n; ++i) {
    const double ln = std::log(random.LogNormal(360.4, 0.58) / 360.4);
    mean += ln / n;
    square += ln * ln / n;
  }
  EXPECT_NEAR(mean, 0.0, 4 * 0.58 / std::sqrt(n));
  EXPECT_NEAR(std::sqrt(square), 0.58, 4 * 0.58 / std::sqrt(2.0 * n));
}

TEST(Random, BelowReachesEveryValueAndNoOther) {
  Random random(3, 1);
  std::array<int, 7> hits{};
  for (int i = 0; i < 7000; ++i)
    ++hits.at(static_cast<std::size_t>(random.Below(7)));
  for (const int h : hits) EXPECT_NEAR(h, 1000, 150);  // five sigma
}

// Reference: the C library of the machine (glibc is within 1 ulp).
TEST(PortableMath, AgreesWithTheLibraryToTheLastDigits) {
  Random random(4, 1);
  for (int i = 0; i < 20000; ++i) {
    const double angle = random.Uniform(-5000.0, 5000.0);
    EXPECT_NEAR(Sin(angle), std::sin(angle), 1e-15) << angle;
    EXPECT_NEAR(Cos(angle), std::cos(angle), 1e-15) << angle;
    const double x = random.Uniform(-300.0, 300.0);
    EXPECT_NEAR(Exp(x) / std::exp(x), 1.0, 1e-15) << x;
    const double y = std::exp(x);
    EXPECT_NEAR(Log(y), std::log(y), 2e-16 * (1.0 + std::abs(x))) << y;
  }
  EXPECT_EQ(Exp(-800.0), 0.0);
  EXPECT_EQ(Log(1.0), 0.0);
  EXPECT_EQ(Sin(0.0), 0.0);
}

}  // namespace
}  // namespace masseter::sim
