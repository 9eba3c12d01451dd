#include "core/trust/disagreement.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace masseter {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

// A bite of `peak_n` with a zero line of 4 N, read plainly as `as_read_n`.
MeasuredBite Of(double peak_n, double as_read_n) {
  MeasuredBite b;
  b.bite.peak_n = peak_n;
  b.bite.budget = {{"calibration", 0.005 * peak_n, kInfinity, "normal"},
                   {"zero", 4.0, kInfinity, "normal"}};
  b.steps = FigureSteps{};
  b.steps->as_read_n = as_read_n;
  b.steps->place_n = peak_n - as_read_n;
  return b;
}

Calibration Map() {
  Calibration c;
  c.relative_standard_u = 0.005;
  c.left_out_rms = 0.003;
  c.place_seen = true;
  return c;
}

Disagreement Split(const MeasuredBite& a, const MeasuredBite& b) {
  return SplitDifference(a, Map(), b, Map(), true);
}

const CauseShare* Find(const Disagreement& d, const std::string& cause) {
  for (const CauseShare& s : d.shares) {
    if (s.cause == cause) return &s;
  }
  return nullptr;
}

Reason Lack(ReasonCode code, std::optional<double> effect_n) {
  Reason r;
  r.code = code;
  r.effect_n = effect_n;
  return r;
}

// The shares and the dog add up to the plain difference.
void ExpectWhole(const Disagreement& d) {
  double sum = *d.dog_n;
  for (const CauseShare& s : d.shares) sum += *s.share_n;
  // Means of 2e5 draws: five standard errors of a 60 N spread.
  EXPECT_NEAR(sum, d.as_read_n, 0.7);
}

TEST(Disagreement, TheDogsDifferenceIsWhatCorrectionsLeave) {
  const Disagreement d = Split(Of(800.0, 790.0), Of(600.0, 600.0));
  EXPECT_EQ(d.cause, "dog");
  EXPECT_FALSE(d.agree);
  EXPECT_EQ(d.as_read_n, 190.0);
  EXPECT_EQ(d.difference_n, 200.0);
  ExpectWhole(d);
  // Place 0.3 % of each, zero 4 N each, the rest of the calibration on the
  // difference alone: root(0.005^2 - 0.003^2) = 0.4 % of 200 N.
  const double u =
      std::sqrt(std::pow(0.003 * 800, 2) + std::pow(0.003 * 600, 2) + 32.0 +
                std::pow(0.004 * 200, 2));
  EXPECT_NEAR(*d.dog_high_n - *d.dog_low_n, 2 * 1.96 * u, 0.3);
}

TEST(Disagreement, WhereItWasGrippedLeadsWhenTheMapTookItOut) {
  const Disagreement d = Split(Of(700.0, 640.0), Of(702.0, 702.0));
  EXPECT_EQ(d.cause, "place");
  EXPECT_NEAR(*Find(d, "place")->share_n, -60.0, 0.1);
  EXPECT_NEAR(Find(d, "place")->corrected_n, -60.0, 1e-9);
  EXPECT_LT(*d.dog_low_n, 0.0);
  EXPECT_GT(*d.dog_high_n, 0.0);
  ExpectWhole(d);
}

TEST(Disagreement, AGapCanOnlyHaveHiddenForce) {
  MeasuredBite b = Of(620.0, 620.0);
  b.bite.reasons = {Lack(ReasonCode::kGap, 160.0)};
  const Disagreement d = Split(Of(700.0, 700.0), b);
  const CauseShare* gap = Find(d, "gap");
  ASSERT_NE(gap, nullptr);
  EXPECT_EQ(gap->side, Side::kSecond);
  // Half of what it could have hidden, 0 to 160 N, and nothing also.
  EXPECT_NEAR(*gap->share_n, 80.0, 1.0);
  EXPECT_EQ(*gap->low_n, 0.0);
  EXPECT_NEAR(*gap->high_n, 156.0, 1.0);
  EXPECT_EQ(d.cause, "gap");
  EXPECT_NEAR(*d.dog_n, 0.0, 1.0);
  ExpectWhole(d);
}

TEST(Disagreement, ALostForceLeadsOnlyWhereItCanMakeUpTheDifference) {
  MeasuredBite cut = Of(400.0, 400.0);
  cut.bite.reasons = {Lack(ReasonCode::kRestart, std::nullopt)};
  const Disagreement low = Split(cut, Of(700.0, 700.0));
  EXPECT_EQ(low.cause, "restart");
  EXPECT_EQ(low.side, Side::kFirst);
  EXPECT_FALSE(low.dog_n.has_value());
  EXPECT_FALSE(low.dog_high_n.has_value());
  EXPECT_NEAR(*low.dog_low_n, -300.0, 20.0);
  EXPECT_FALSE(Find(low, "restart")->low_n.has_value());
  // The cut bite reads more than the other: what was lost adds to that.
  const Disagreement high = Split(cut, Of(200.0, 200.0));
  EXPECT_EQ(high.cause, "dog");
  EXPECT_NEAR(*high.dog_low_n, 200.0, 20.0);
}

TEST(Disagreement, SaysWhenTheTwoAgree) {
  const Disagreement d = Split(Of(700.0, 698.0), Of(706.0, 705.0));
  EXPECT_TRUE(d.agree);
  // 4 N of zero each are more open than 0.3 % of 700 N.
  EXPECT_EQ(d.cause, "zero");
  MeasuredBite sagged = Of(706.0, 705.0);
  sagged.bite.reasons = {Lack(ReasonCode::kSag, std::nullopt)};
  const Disagreement unsized = Split(Of(700.0, 698.0), sagged);
  EXPECT_TRUE(unsized.agree);
  EXPECT_EQ(unsized.cause, "sag");
  EXPECT_EQ(unsized.side, Side::kSecond);
}

}  // namespace
}  // namespace masseter
