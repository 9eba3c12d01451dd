#include "core/bite/shape.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "core/bite/bite_testing.h"

namespace masseter {
namespace {

using testing_bite::BiteSpec;
using testing_bite::SeriesOf;
using testing_bite::SmoothStep;

constexpr double kPi = std::numbers::pi;

Span Whole(const ForceSeries& s) { return {0, s.size()}; }

TEST(Shape, ImpulseOfAHalfSine) {
  // 1000 N over 0.1 s: 2 A T / pi = 63.66197723675813 N s; the trapezoid rule
  // on 101 samples gives 63.65674116287159 (closed form).
  const ForceSeries s = SeriesOf(
      [](double t) { return 1000.0 * std::sin(kPi * t / 0.1); }, 0.1, 1000.0);
  ASSERT_EQ(s.size(), 101U);
  EXPECT_NEAR(ImpulseOf(s, Whole(s)), 63.65674116287159, 1e-9);
}

TEST(Shape, NothingIsAddedForMissingSamples) {
  ForceSeries s = SeriesOf([](double) { return 100.0; }, 1.0, 100.0);
  s.before[50] = Break::kGap;
  for (std::size_t i = 50; i < s.size(); ++i) s.t_s[i] += 0.5;
  // 49 and 50 steps of 10 ms at 100 N; the gap of 0.51 s counts nothing.
  EXPECT_NEAR(ImpulseOf(s, Whole(s)), 99.0, 1e-9);
}

TEST(Shape, RiseOfAStraightFlank) {
  // 0 to 500 N in 100 ms: 10 % to 90 % is 80 ms, 400 N in it.
  const ForceSeries s = SeriesOf(
      [](double t) { return std::min(500.0, 5000.0 * t); }, 0.3, 1000.0);
  const auto rise = RiseOf(s, Whole(s), 500.0, 0.1);
  ASSERT_TRUE(rise.has_value());
  EXPECT_NEAR(rise->rise_s, 0.080, 1e-9);
  EXPECT_NEAR(rise->loading_rate_n_s, 5000.0, 1e-6);
  ForceSeries broken = s;
  broken.before[60] = Break::kGap;
  EXPECT_FALSE(RiseOf(broken, Whole(broken), 500.0, 0.1).has_value());
  // A gap after the peak does not matter.
  broken.before[60] = Break::kNone;
  broken.before[200] = Break::kGap;
  EXPECT_TRUE(RiseOf(broken, Whole(broken), 500.0, 0.1).has_value());
}

TEST(Shape, SqueezeIsTheHighestQuarterSecondAfterTheStrike) {
  // 900 N strike, 300 N, then 400 N from 0.60 s to 0.90 s, then 300 N.
  const ForceSeries s = SeriesOf(
      [](double t) {
        if (t < 0.1) return 900.0 * std::sin(kPi * t / 0.1);
        return t >= 0.5999 && t < 0.8999 ? 400.0 : 300.0;
      },
      1.5, 1000.0);
  const auto squeeze = SqueezeOf(s, Whole(s));
  ASSERT_TRUE(squeeze.has_value());
  EXPECT_NEAR(squeeze->force_n, 400.0, 1e-9);
  EXPECT_NEAR(squeeze->start_s, 0.600, 1e-9);
  EXPECT_NEAR(*StrikeOf(s, Whole(s)), 900.0, 1e-9);
}

TEST(Shape, SqueezeNeedsNearlyHalfASecond) {
  const auto flat = [](double) { return 200.0; };
  const ForceSeries s = SeriesOf(flat, 0.6, 1000.0);
  EXPECT_FALSE(SqueezeOf(s, {0, 440}).has_value());  // 0.2 + 0.25 s and more
  EXPECT_TRUE(SqueezeOf(s, {0, 460}).has_value());
  ForceSeries broken = SeriesOf(flat, 0.6, 1000.0);
  broken.before[400] = Break::kGap;
  EXPECT_FALSE(SqueezeOf(broken, Whole(broken)).has_value());
}

TEST(Shape, HeldIsTheMeanAboveHalfThePeak) {
  const ForceSeries s = SeriesOf(
      [](double t) { return t < 0.5 ? 100.0 : (t < 0.75 ? 800.0 : 600.0); },
      0.999, 1000.0);
  EXPECT_NEAR(*HeldOf(s, Whole(s), 800.0), 700.0, 0.5);
  EXPECT_FALSE(HeldOf(s, Whole(s), 5000.0).has_value());
}

TEST(Shape, TheSpanIsRefinedToTheLevel) {
  const ForceSeries s =
      SeriesOf(BiteSpec{1.0, 1.0, 800.0, 0.1, 500.0}, 3.0, 1000.0);
  // Rough: 20 ms frames, begun late and ended late.
  const Span span = RefineSpan(s, {1020, 2300}, 10.0);
  EXPECT_GE(s.filtered_n[span.begin], 10.0);
  EXPECT_LT(s.filtered_n[span.begin - 1], 10.0);
  EXPECT_NEAR(s.t_s[span.begin], 1.0, 0.003);
  EXPECT_GE(s.filtered_n[span.end - 1], 10.0);
  EXPECT_LT(s.filtered_n[span.end], 10.0);
}

ForceSeries HeldWithDips(const std::vector<double>& dips_s, double depth,
                         double width_s) {
  return SeriesOf(
      [=](double t) {
        double f = BiteSpec{0.0, 4.0, 900.0, 0.1, 500.0}(t);
        for (const double at : dips_s) {
          const double x = std::abs(t - at) / (0.5 * width_s);
          if (x < 1.0) f *= 1.0 - depth * 0.5 * (1.0 + std::cos(kPi * x));
        }
        return f;
      },
      4.0, 1000.0);
}

TEST(Shape, EachRegripIsCountedOnce) {
  const ForceSeries s = HeldWithDips({1.2, 2.5}, 0.9, 0.3);
  const std::vector<double> regrips = RegripsOf(s, Whole(s));
  ASSERT_EQ(regrips.size(), 2U);
  EXPECT_NEAR(regrips[0], 1.2, 0.02);
  EXPECT_NEAR(regrips[1], 2.5, 0.02);
}

TEST(Shape, ShallowDipsAreNoRegrips) {
  const ForceSeries s = HeldWithDips({1.2, 2.5}, 0.4, 0.3);
  EXPECT_TRUE(RegripsOf(s, Whole(s)).empty());
}

TEST(Shape, TheDipBetweenStrikeAndSqueezeIsNoRegrip) {
  // The strike falls to a tenth before the jaws close at 0.25 s.
  const ForceSeries s = SeriesOf(
      [](double t) {
        const double strike = t < 0.12 ? 900.0 * std::sin(kPi * t / 0.12) : 0.0;
        return std::max({strike, 50.0, 500.0 * SmoothStep((t - 0.16) / 0.1)});
      },
      2.5, 1000.0);
  EXPECT_TRUE(RegripsOf(s, Whole(s)).empty());
}

TEST(Shape, AShakeOfFourAndAHalfHertzIsFound) {
  for (const double hz : {3.2, 4.5, 6.8}) {
    const ForceSeries s = SeriesOf(
        [hz](double t) {
          return BiteSpec{0.0, 3.0, 900.0, 0.1, 500.0}(t) *
                 (1.0 + 0.15 * std::sin(2.0 * kPi * hz * t));
        },
        3.0, 1000.0, 2.0);
    const auto shake = ShakeOf(s, Whole(s), 500.0, {});
    ASSERT_TRUE(shake.has_value()) << hz;
    EXPECT_NEAR(*shake, hz, 0.15);
  }
}

TEST(Shape, NoShakeIsInventedInAPlainBite) {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    testing_plate::Draw draw(1000 + seed);
    const double slow = draw.Uniform(0.2, 1.2);
    const double duration = draw.Uniform(1.2, 4.0);
    const ForceSeries s = SeriesOf(
        [=](double t) {
          return BiteSpec{0.0, duration, 900.0, 0.1, 500.0}(t) *
                 (1.0 + 0.1 * std::sin(2.0 * kPi * slow * t + slow));
        },
        duration, 1000.0, 5.0, seed);
    EXPECT_FALSE(ShakeOf(s, Whole(s), 500.0, {}).has_value()) << seed;
  }
}

TEST(Shape, RegripsAreNotTakenForAShake) {
  const ForceSeries s = HeldWithDips({0.8, 1.5, 2.2, 3.0}, 0.9, 0.3);
  const std::vector<double> regrips = RegripsOf(s, Whole(s));
  EXPECT_EQ(regrips.size(), 4U);
  EXPECT_FALSE(ShakeOf(s, Whole(s), 450.0, regrips).has_value());
}

TEST(Shape, HeldCvIsThatOfTheSlowPart) {
  // 500 N with a sine of 50 N at 0.5 Hz: cv = 0.1 / root 2 over whole turns,
  // less what a third of a second's mean takes off (sinc(0.165) = 0.955).
  const ForceSeries s = SeriesOf(
      [](double t) {
        return 500.0 * (1.0 + 0.1 * std::sin(2.0 * kPi * 0.5 * t));
      },
      8.6, 1000.0, 10.0);
  const auto cv = HeldCvOf(s, Whole(s), 500.0, {});
  ASSERT_TRUE(cv.has_value());
  EXPECT_NEAR(*cv, 0.1 / std::sqrt(2.0) * 0.955, 0.004);
  EXPECT_FALSE(HeldCvOf(s, {0, 450}, 500.0, {}).has_value());
}

}  // namespace
}  // namespace masseter
