#include "core/bite/inertia.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "core/bite/bite_testing.h"

namespace masseter {
namespace {

using ::testing::HasSubstr;
using testing_bite::BiteSpec;
using testing_bite::ReasonOf;
using testing_bite::Rows;
using testing_plate::Draw;

constexpr double kG = 9.80665;  // m/s^2, NIST SP 811

double Wave(double hz, double t) {
  return std::sin(2.0 * std::numbers::pi * hz * t);
}

// Newton's second law by hand: 0.35 kg that is accelerated by 1 g pushes with
// 0.35 kg times 9.80665 m/s^2 = 3.4323275 N.
TEST(Inertia, FindsTheMassThatIsSwung) {
  InertiaFit fit(0.5);
  Draw draw(3);
  for (int i = 0; i < 1500; ++i) {  // half a minute of frames
    const double t = 0.02 * i;
    const AxesG a = {0.4 * Wave(0.7, t), 1.0 + 0.8 * Wave(1.3, t),
                     0.3 * Wave(2.1, t)};
    const double force = 0.35 * kG * (a[1] - 1.0) + draw.Normal(0.3);
    fit.Push(a, force, 0.3);
  }
  const auto inertia = fit.Fit(AxesG{0.0, 1.0, 0.0});
  ASSERT_TRUE(inertia);
  // Three standard errors: 0.3 N sqrt(10) over 0.57 g sqrt(1500).
  EXPECT_NEAR(inertia->n_per_g[1], 3.4323275, 3.0 * 0.043);
  EXPECT_NEAR(inertia->n_per_g[0], 0.0, 3.0 * 0.087);
  EXPECT_NEAR(inertia->Force({0.0, 4.0, 0.0}), 3.0 * 3.4323275, 9.0 * 0.043);
  EXPECT_NEAR(inertia->StandardUncertainty({0.0, 2.0, 0.0}), 0.043, 0.01);
}

// The claim itself: 95 % of the intervals hold the force that motion adds.
TEST(Inertia, ItsIntervalHoldsForSwingsThatWander) {
  int held = 0;
  constexpr int kTrials = 400;
  for (int trial = 0; trial < kTrials; ++trial) {
    InertiaFit fit(std::nullopt);
    Draw draw(static_cast<std::uint64_t>(trial) + 1);
    const double mass = 0.2 + 0.6 * (trial % 10) / 10.0;
    double wander = 0.0;  // of the zero, over the time of a swing
    for (int i = 0; i < 600; ++i) {
      const double t = 0.02 * i;
      wander = 0.9 * wander + draw.Normal(0.1);
      const AxesG a = {0.0, 0.5 * Wave(1.1, t + trial), 0.0};
      fit.Push(a, mass * kG * a[1] + wander + draw.Normal(0.1), 0.1);
    }
    const auto inertia = fit.Fit(AxesG{});
    ASSERT_TRUE(inertia);
    const AxesG peak = {0.0, 3.0, 0.0};
    held += std::abs(inertia->Force(peak) - mass * kG * 3.0) <=
            1.96 * inertia->StandardUncertainty(peak);
  }
  // 92 % is three standard errors of 400 trials below 95 %; from above only
  // 100 % would show an interval that says nothing.
  EXPECT_GE(held, static_cast<int>(0.92 * kTrials));
  EXPECT_LT(held, kTrials);
}

TEST(Inertia, WithoutSwingsTheStatedMassIsTheLimit) {
  InertiaFit fit(0.35);
  for (int i = 0; i < 100; ++i) fit.Push({0.0, 1.0, 0.0}, 0.0, 0.3);
  const auto inertia = fit.Fit(AxesG{0.0, 1.0, 0.0});
  ASSERT_TRUE(inertia);
  EXPECT_EQ(inertia->Force({0.0, 4.0, 0.0}), 0.0);
  EXPECT_NEAR(inertia->StandardUncertainty({0.0, 4.0, 0.0}), 3.0 * 0.35 * kG,
              0.02);
}

TEST(Inertia, HandsOnTheSleeveAreNotTakenForMotion) {
  InertiaFit fit(0.35);
  for (int i = 0; i < 400; ++i) {
    const double t = 0.02 * i;
    const AxesG a = {0.0, 0.3 * Wave(1.0, t), 0.0};
    const bool hand = i % 50 < 15;
    fit.Push(a, 0.35 * kG * a[1] + (hand ? 25.0 : 0.0), 0.2);
  }
  const auto inertia = fit.Fit(AxesG{});
  ASSERT_TRUE(inertia);
  EXPECT_NEAR(inertia->n_per_g[1], 0.35 * kG, 0.2);
}

// A bite of 900 N while the sleeve is jerked by 4 g at the strike, after
// swings with nothing in it.
class BiteInMotion : public ::testing::Test {
 protected:
  Rows Day(bool swings, bool told) {
    Rows rows =
        testing_bite::OnPlate(plate_, {10.0, -4.0}, 14.0,
                              [](double t) { return BiteSpec{}(t - 8.0); }, {});
    const double share = 0.25;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const double t = static_cast<double>(rows.t_us[i]) * 1e-6;
      double a = swings && t > 2.0 && t < 8.0 ? 0.8 * Wave(1.4, t) : 0.0;
      if (t > 10.0 && t < 10.1) a += 4.0 * Wave(5.0, t - 10.0);
      for (std::size_t c = 0; c < 4; ++c) {
        rows.channel[c][i] += plate_.counts_per_n[c] * share * kMassKg * kG * a;
      }
      if (told) rows.ay_g.push_back(a);
    }
    return rows;
  }
  Bite Only(const Rows& rows) {
    const auto bites = testing_bite::RunPipeline(rig_, &calibration_, rows);
    EXPECT_EQ(bites.size(), 1U);
    return bites.empty() ? Bite{} : bites.front().bite;
  }

  static constexpr double kMassKg = 1.2;
  testing_plate::Plate plate_;
  Rig rig_ = testing_plate::FourCellRig(plate_);
  Calibration calibration_ = testing_bite::CalibrationOf(plate_);
};

TEST_F(BiteInMotion, IsMeasuredWithoutItsOwnMass) {
  // 1.2 kg at 4 g: 47 N of 900 N, unless it is taken off.
  const Bite untold = Only(Day(true, false));
  EXPECT_GT(*untold.peak_n, 930.0);
  const Bite told = Only(Day(true, true));
  EXPECT_NEAR(*told.peak_n, 900.0, *told.peak_u95_n);
  EXPECT_LT(*told.peak_u95_n, 20.0);
  EXPECT_EQ(told.verdict, Verdict::kSound);
}

TEST_F(BiteInMotion, IsDoubtfulWhenTheMassWasNeverSwung) {
  rig_.moving_mass = Mass(kMassKg);
  const Bite bite = Only(Day(false, true));
  EXPECT_EQ(bite.verdict, Verdict::kDoubtful);
  const Reason* motion = ReasonOf(bite, ReasonCode::kMotion);
  ASSERT_NE(motion, nullptr);
  EXPECT_THAT(motion->text, HasSubstr("the sleeve moved by 4"));
  EXPECT_THAT(motion->advice, HasSubstr("swing"));
  EXPECT_LE(*bite.peak_n - *bite.peak_u95_n, 900.0);
  EXPECT_GE(*bite.peak_n + *bite.peak_u95_n, 900.0);
}

}  // namespace
}  // namespace masseter
