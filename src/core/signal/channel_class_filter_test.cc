#include "core/signal/channel_class_filter.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

namespace masseter {
namespace {

using Record = std::vector<double>;

std::size_t PeakAt(const Record& x) {
  return static_cast<std::size_t>(std::max_element(x.begin(), x.end()) -
                                  x.begin());
}

TEST(ChannelClassFilter, ASymmetricPulsesPeakDoesNotMove) {
  for (const double cfc : {20.0, 60.0, 100.0}) {
    Record x(801);
    for (std::size_t i = 0; i < x.size(); ++i) {
      const double t = (static_cast<double>(i) - 400.0) / 8.0;
      x[i] = std::exp(-0.5 * t * t);
    }
    Record general = x;
    const LowPass f = DesignChannelClass(cfc, 1000).value();
    FilterChannelClass(f, x);
    FilterZeroPhase(f, general);
    EXPECT_EQ(PeakAt(x), 400U);
    EXPECT_EQ(PeakAt(general), 400U);
    for (std::size_t k = 1; k < 300; ++k) {
      ASSERT_NEAR(x[400 - k], x[400 + k], 1e-12) << "CFC " << cfc;
    }
  }
}

TEST(ChannelClassFilter, AConstantAndAStraightLinePassUnchanged) {
  const LowPass f = DesignChannelClass(60, 1000).value();
  Record constant(50, 7.25);
  FilterChannelClass(f, constant);
  for (const double v : constant) EXPECT_NEAR(v, 7.25, 1e-12);
  Record line(500);
  for (std::size_t i = 0; i < 500; ++i) line[i] = 0.5 * static_cast<double>(i);
  FilterZeroPhase(f, line);
  for (std::size_t i = 0; i < 500; ++i) {
    EXPECT_NEAR(line[i], 0.5 * static_cast<double>(i), 1e-5) << i;
  }
}

TEST(ChannelClassFilter, VeryShortRecordsSurvive) {
  const LowPass f = DesignChannelClass(60, 1000).value();
  for (std::size_t n = 0; n < 12; ++n) {
    Record iso(n, 3.0);
    Record steady(n, 3.0);
    FilterChannelClass(f, iso);
    FilterZeroPhase(f, steady);
    for (std::size_t i = 0; i < n; ++i) {
      EXPECT_NEAR(iso[i], 3.0, 1e-12);
      EXPECT_NEAR(steady[i], 3.0, 1e-12);
    }
  }
}

TEST(ChannelClassFilter, CutOffIsThreeDecibelsAfterBothPasses) {
  const LowPass f = DesignZeroPhaseLowPass(100, 1000).value();
  EXPECT_NEAR(TwoPassGain(f, 100), std::sqrt(0.5), 1e-12);
  EXPECT_NEAR(TwoPassGain(f, 0), 1.0, 0.0);
  // And a sine of that frequency indeed comes out at that size.
  Record x(4000);
  for (std::size_t i = 0; i < x.size(); ++i) {
    x[i] = std::sin(0.2 * 3.14159265358979323846 * static_cast<double>(i));
  }
  const Record before = x;
  FilterZeroPhase(f, x);
  for (std::size_t i = 1000; i < 3000; ++i) {
    ASSERT_NEAR(x[i], std::sqrt(0.5) * before[i], 1e-9);
  }
}

TEST(ChannelClassFilter, NoiseGainIsThatOfTheImpulseResponse) {
  for (const double cutoff : {5.0, 60.0, 100.0, 250.0, 400.0, 480.0}) {
    const LowPass f = DesignZeroPhaseLowPass(cutoff, 1000).value();
    Record impulse(8001, 0.0);
    impulse[4000] = 1.0;
    FilterZeroPhase(f, impulse, 0);
    double energy = 0.0;
    for (const double v : impulse) energy += v * v;
    EXPECT_NEAR(NoiseGain(f), std::sqrt(energy), 1e-12) << cutoff;
  }
}

TEST(ChannelClassFilter, NoiseGainIsTheScatterOfFilteredNoise) {
  std::mt19937_64 engine(20240607);
  std::normal_distribution<double> normal;
  Record x(200000);
  for (double& v : x) v = normal(engine);
  const LowPass f = DesignChannelClass(60, 1000).value();
  FilterChannelClass(f, x);
  double ss = 0.0;
  for (const double v : x) ss += v * v;
  const double sd = std::sqrt(ss / static_cast<double>(x.size()));
  // About 40 000 independent values: 0.35 % standard error, four of them.
  EXPECT_NEAR(sd / NoiseGain(f), 1.0, 0.014);
}

TEST(ChannelClassFilter, RefusesAClassTheRateCannotCarry) {
  EXPECT_FALSE(DesignChannelClass(60, 240).has_value());
  EXPECT_TRUE(DesignChannelClass(60, 260).has_value());
  EXPECT_FALSE(DesignChannelClass(0, 1000).has_value());
  EXPECT_FALSE(DesignZeroPhaseLowPass(500, 1000).has_value());
  EXPECT_FALSE(DesignZeroPhaseLowPass(std::nan(""), 1000).has_value());
  EXPECT_DOUBLE_EQ(HighestChannelClass(1000), 100.0);
}

}  // namespace
}  // namespace masseter
