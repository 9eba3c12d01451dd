#include "core/bench/check_load.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/metrology/plate_testing.h"

namespace masseter {
namespace {

using testing_plate::BenchDay;
using testing_plate::Draw;
using testing_plate::Plate;

Calibration Calibrated(const Plate& plate) {
  const Rig rig = testing_plate::FourCellRig(plate);
  const auto readings =
      ParseReadings(testing_plate::Readings(plate, BenchDay()), "r.csv", rig);
  EXPECT_TRUE(readings);
  CalibrateOptions options;
  options.gravity_m_s2 = testing_plate::kGravity;
  const auto calibration = Calibrate(rig, *readings, options, "r.csv");
  EXPECT_TRUE(calibration);
  return *calibration;
}

SettledReading At(const Plate& plate, double force_n, Place place) {
  SettledReading r;
  r.mean = plate.Signals(force_n, place);
  r.sd.assign(4, 10.0);
  r.samples = 1000;
  return r;
}

TEST(CheckLoad, WeightsForceIsMassTimesGravityLessTheAirsLift) {
  const auto load = LoadOfMass(10.0, 9.81225);
  ASSERT_TRUE(load);
  EXPECT_NEAR(load->force_n, 10.0 * 9.81225 * (1.0 - 1.2 / 8000.0), 1e-9);
  // 1.96 sqrt(5e-4^2 + 1e-4^2) / sqrt 3, both rectangular.
  EXPECT_NEAR(load->expanded_n / load->force_n,
              1.959964 * std::sqrt(26.0) * 1e-4 / std::sqrt(3.0), 1e-9);
  EXPECT_FALSE(LoadOfMass(0.0, 9.81));
}

TEST(CheckLoad, SleeveThatReadsAsCalibratedIsWithin) {
  const Plate plate;
  const Calibration c = Calibrated(plate);
  const auto load = LoadOfMass(20.0, testing_plate::kGravity);
  const Place at{20.0, 5.0};
  const auto result =
      JudgeCheck(c, *load, At(plate, 0.0, at), At(plate, load->force_n, at),
                 nullptr, std::nullopt);
  EXPECT_TRUE(result.within) << result.difference_n << " " << result.limit_n;
  EXPECT_LT(result.e_n, 1.0);
  EXPECT_NEAR(result.e_n, std::abs(result.difference_n) / result.limit_n,
              1e-12);
  ASSERT_TRUE(result.place);
  EXPECT_NEAR(result.place->x_mm, 20.0, 3.0);
}

TEST(CheckLoad, CellThatLostAFifthFailsAndAStatedToleranceDecidesInstead) {
  const Plate plate;
  const Calibration c = Calibrated(plate);
  Plate damaged = plate;
  damaged.counts_per_n[0] *= 0.8;
  const auto load = LoadOfMass(20.0, testing_plate::kGravity);
  const auto zero = At(damaged, 0.0, {});
  const auto loaded = At(damaged, load->force_n, {});
  const auto result = JudgeCheck(c, *load, zero, loaded, nullptr, std::nullopt);
  EXPECT_FALSE(result.within);
  EXPECT_GT(result.e_n, 1.0);
  EXPECT_NEAR(result.difference_n / load->force_n, -0.05, 0.015);
  EXPECT_TRUE(
      JudgeCheck(c, *load, zero, loaded, nullptr, Tolerance{0.1, 0.0}).within);
  EXPECT_FALSE(
      JudgeCheck(c, *load, zero, loaded, nullptr, Tolerance{0.01, 0.0}).within);
}

TEST(CheckLoad, ZeroThatMovedIsHalvedAndWidensTheInterval) {
  const Plate plate;
  const Calibration c = Calibrated(plate);
  const auto load = LoadOfMass(20.0, testing_plate::kGravity);
  const auto zero = At(plate, 0.0, {});
  const auto loaded = At(plate, load->force_n, {});
  const auto after = At(plate, 4.0, {});
  const auto still = JudgeCheck(c, *load, zero, loaded, nullptr, std::nullopt);
  const auto moved = JudgeCheck(c, *load, zero, loaded, &after, std::nullopt);
  EXPECT_NEAR(moved.zero_change_n, 4.0, 0.3);
  EXPECT_NEAR(moved.sleeve_n - still.sleeve_n, -2.0, 0.2);
  EXPECT_GT(moved.sleeve_u95_n, still.sleeve_u95_n);
}

SampleBlock Capture(const Plate& plate, const std::vector<double>& forces,
                    double each_s) {
  SampleBlock out;
  out.channel.resize(4);
  Draw draw(5);
  double now = forces.front();
  for (std::size_t k = 0; k < forces.size(); ++k) {
    for (int i = 0; i < static_cast<int>(each_s * 200.0); ++i) {
      now += (forces[k] - now) * 0.05;  // a hand, not a step
      const auto v = plate.Signals(now, {10.0, 0.0});
      for (std::size_t c = 0; c < 4; ++c) {
        out.channel[c].push_back(v[c] + draw.Normal(8.0));
      }
      out.t_s.push_back(static_cast<double>(out.t_s.size()) / 200.0);
      out.before.push_back(Break::kNone);
    }
  }
  return out;
}

TEST(CheckLoad, FindsZeroLoadAndZeroInACapture) {
  const Plate plate;
  const Calibration c = Calibrated(plate);
  const auto found =
      FindCheckWindows(c, Capture(plate, {0, 100, 0}, 8.0), SettleRule{});
  ASSERT_TRUE(found) << found.error().Text();
  EXPECT_LT(found->zero.t_s, 8.0);
  EXPECT_GT(found->loaded.t_s, 8.0);
  EXPECT_LT(found->loaded.t_s, 16.0);
  ASSERT_TRUE(found->zero_after);
  EXPECT_GT(found->zero_after->t_s, 16.0);
}

TEST(CheckLoad, CapturesThatTellNothingAreRefusedWithAReason) {
  const Plate plate;
  const Calibration c = Calibrated(plate);
  EXPECT_FALSE(FindCheckWindows(c, Capture(plate, {0}, 8.0), SettleRule{}));
  EXPECT_FALSE(
      FindCheckWindows(c, Capture(plate, {100, 0}, 8.0), SettleRule{}));
  EXPECT_FALSE(FindCheckWindows(c, Capture(plate, {0}, 1.0), SettleRule{}));
  EXPECT_FALSE(FindCheckWindows(c, SampleBlock(), SettleRule{}));
}

}  // namespace
}  // namespace masseter
