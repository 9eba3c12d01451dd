#include "core/bench/settle.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace masseter {
namespace {

constexpr double kRate = 500.0;

std::vector<double> Noise(unsigned seed, std::size_t n, double sd) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal(0.0, sd);
  std::vector<double> out(n);
  for (double& v : out) v = normal(random);
  return out;
}

TEST(Settle, ALineThroughTenBlocksGivesTheDriftOfAnExactRamp) {
  std::vector<double> ramp(1000);
  for (std::size_t i = 0; i < ramp.size(); ++i) {
    ramp[i] = 3.0 + 0.02 * static_cast<double>(i);
  }
  const ChannelSettle s = JudgeWindow(ramp, SettleRule{}, 0.0);
  EXPECT_NEAR(s.drift, 0.02 * 1000.0, 1e-9);
  EXPECT_NEAR(s.scatter, 0.0, 1e-9);
  EXPECT_FALSE(s.slope_ok);
}

TEST(Settle, MostWindowsOfWhiteNoiseAloneHaveSettled) {
  // |t| > 2.9 with 8 degrees of freedom: 2 % (Student's t).
  int settled = 0;
  for (unsigned seed = 1; seed <= 400; ++seed) {
    const auto x = Noise(seed, 1000, 25.0);
    const ChannelSettle s = JudgeWindow(x, SettleRule{}, 0.0);
    settled += s.slope_ok && s.spread_ok ? 1 : 0;
  }
  EXPECT_GE(settled, 384);
  EXPECT_LT(settled, 400);
}

TEST(Settle, NoiseOfABlockIsTheSamplesNoiseOverTheRootOfTheirNumber) {
  const auto x = Noise(7, 20000, 25.0);
  const ChannelSettle s = JudgeWindow(x, SettleRule{}, 0.0);
  EXPECT_NEAR(s.noise, 25.0 / std::sqrt(2000.0), 0.02);
}

TEST(Settle, ASlowCreepIsNotSettledUntilItIsSmallAgainstTheFullSignal) {
  auto x = Noise(3, 1000, 1.0);
  for (std::size_t i = 0; i < x.size(); ++i) {
    x[i] += 0.004 * static_cast<double>(i);  // 4 over the window
  }
  EXPECT_FALSE(JudgeWindow(x, SettleRule{}, 0.0).slope_ok);
  EXPECT_FALSE(JudgeWindow(x, SettleRule{}, 10000.0).slope_ok);
  EXPECT_TRUE(JudgeWindow(x, SettleRule{}, 30000.0).slope_ok);
}

TEST(Settle, ASwingingWeightHasNoSlopeButIsNotSettled) {
  auto x = Noise(5, 1000, 1.0);
  for (std::size_t i = 0; i < x.size(); ++i) {
    x[i] += 20.0 * std::cos(6.283185307 * static_cast<double>(i) / 500.0);
  }
  EXPECT_FALSE(JudgeWindow(x, SettleRule{}, 0.0).spread_ok);
}

TEST(Settle, WaitsForTheLoadToComeToRestAndTakesTheMeanOfTheWindow) {
  SettleWatch watch(1, SettleRule{});
  watch.Begin();
  const auto noise = Noise(11, 10000, 2.0);
  std::size_t i = 0;
  for (; i < noise.size() && !watch.settled(); ++i) {
    const double t = static_cast<double>(i) / kRate;
    const double v = 5000.0 * (1.0 - std::exp(-t / 0.8)) + noise[i];
    watch.Add(t, std::vector<double>{v}, false, 21.5);
  }
  ASSERT_TRUE(watch.settled());
  const auto reading = watch.Take();
  ASSERT_TRUE(reading);
  // Below 5000 exp(-t/0.8) = 1 after 6.8 s.
  EXPECT_GT(reading->waited_s, 4.0);
  EXPECT_NEAR(reading->mean[0], 5000.0, 3.0);
  EXPECT_NEAR(reading->sd[0], 2.0, 0.4);
  EXPECT_EQ(reading->temp_c, 21.5);
  EXPECT_NEAR(reading->t_s, reading->waited_s - 1.0, 0.05);
}

TEST(Settle, MissingSamplesBeginTheWindowAnew) {
  SettleWatch watch(1, SettleRule{});
  watch.Begin();
  const auto noise = Noise(13, 4000, 2.0);
  for (std::size_t i = 0; i < 900; ++i) {
    watch.Add(static_cast<double>(i) / kRate, std::vector<double>{noise[i]},
              false, std::nullopt);
  }
  watch.Add(2.5, std::vector<double>{0.0}, true, std::nullopt);
  for (std::size_t i = 1; i < 900; ++i) {
    watch.Add(2.5 + static_cast<double>(i) / kRate,
              std::vector<double>{noise[i]}, false, std::nullopt);
  }
  EXPECT_FALSE(watch.full());
  EXPECT_FALSE(watch.Take());
}

}  // namespace
}  // namespace masseter
