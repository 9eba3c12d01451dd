#include "core/bite/frequency_content.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "core/bite/bite_testing.h"
#include "core/signal/half_sine.h"

namespace masseter {
namespace {

// Held at 500 N for three seconds and shaken at 6 Hz by 60 N.
MeasuredBite Shaken() {
  MeasuredBite b;
  b.series = testing_bite::SeriesOf(
      [](double t) {
        return 500.0 + 60.0 * std::sin(2.0 * std::numbers::pi * 6.0 * t);
      },
      3.0, 1000.0);
  b.span = {0, b.series.size()};
  return b;
}

TEST(FrequencyContent, FindsTheShake) {
  const auto f = FrequencyContentOf(Shaken());
  ASSERT_TRUE(f.has_value());
  EXPECT_NEAR(f->rate_hz, 1000.0, 1e-9);
  EXPECT_EQ(f->spectrum.segments, 4U);  // of 1024 samples
  for (const Band& band : f->bands) {
    // The root mean square of a sine of 60 N; 10 % for what Hann's sides put
    // into the neighbouring octave.
    const double expected = band.from_hz == 4.0 ? 60.0 / std::sqrt(2.0) : 0.0;
    EXPECT_NEAR(band.rms_n, expected, 0.1 * 60.0 / std::sqrt(2.0))
        << band.from_hz;
  }
  EXPECT_NEAR(f->most_below_hz, 6.5, 1.5);
}

TEST(FrequencyContent, LooksAtTheLongestStretchWithoutGaps) {
  MeasuredBite b = Shaken();
  b.series.before[1000] = Break::kGap;
  const auto f = FrequencyContentOf(b);
  ASSERT_TRUE(f.has_value());
  EXPECT_NEAR(f->seconds, 2.0, 0.01);
  b.span = {0, 10};
  EXPECT_FALSE(FrequencyContentOf(b).has_value());
}

TEST(SamplingNeed, IsTheSampledHalfSines) {
  MeasuredBite b = Shaken();
  b.peak.width_s = 0.05;
  b.series.period_s = 1.0 / 80.0;
  const auto need = SamplingNeedOf(b);
  ASSERT_TRUE(need.has_value());
  // docs/method.md section 6: 80 samples/s, 50 ms: 7.6 %.
  EXPECT_NEAR(need->worst_loss, 0.076, 0.0005);
  // acos(0.99) = 0.14154: pi / (2 x 0.05 x 0.14154) = 222 samples a second.
  EXPECT_NEAR(need->needed_rate_hz, 222.0, 0.5);
  b.peak.width_s = 0.0;
  EXPECT_FALSE(SamplingNeedOf(b).has_value());
}

TEST(SharpestCrest, IsTheStrikesWhereTheSqueezeIsThePeak) {
  MeasuredBite b;
  testing_bite::BiteSpec spec;
  spec.start_s = 0.5;
  spec.strike_n = 400.0;
  spec.strike_width_s = 0.08;
  spec.squeeze_n = 300.0;
  b.series = testing_bite::SeriesOf(spec, 2.2, 1000.0, 0.1);
  b.span = {500, 2000};
  b.bite.start_s = 0.5;
  b.peak.width_s = 1.5;
  const auto sharpest = SharpestCrest(b);
  ASSERT_TRUE(sharpest.has_value());
  // A half-sine of 80 ms on its own curvature; 5 % for the noise's part.
  EXPECT_NEAR(*sharpest, 0.08, 0.004);
}

}  // namespace
}  // namespace masseter
