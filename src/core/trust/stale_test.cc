#include "core/trust/stale.h"

#include <gtest/gtest.h>

#include <cmath>

namespace masseter {
namespace {

constexpr double kDay = 86400.0;

Bite Sound() {
  Bite bite;
  bite.peak_n = 800.0;
  bite.peak_u95_n = 6.0;
  bite.squeeze_n = 400.0;
  bite.squeeze_u95_n = 3.0;
  bite.verdict = Verdict::kSound;
  return bite;
}

Validity Calibrated() {
  Validity v;
  v.calibrated_unix_s = 1000.0 * kDay;
  v.expanded_relative_u95 = 0.006;
  return v;
}

TEST(Stale, WithoutLimitsAndChecksACalibrationStaysGood) {
  Bite bite = Sound();
  ApplyStale(Calibrated(), 5000.0 * kDay, bite);
  EXPECT_EQ(bite.verdict, Verdict::kSound);
  EXPECT_TRUE(bite.reasons.empty());
}

TEST(Stale, FailedCheckSpoilsTheBitesSinceTheLastGoodOneAndNoOthers) {
  Validity v = Calibrated();
  v.checks = {{1010 * kDay, true, 0.001},
              {1020 * kDay, false, -0.04},
              {1030 * kDay, true, 0.002}};
  const auto stale = [&](double day) {
    return !StaleReasons(v, day * kDay, Sound()).empty();
  };
  EXPECT_FALSE(stale(1005));
  EXPECT_TRUE(stale(1015));
  EXPECT_TRUE(stale(1025)) << "after the failed check, before a good one";
  EXPECT_FALSE(stale(1035));
}

TEST(Stale, FailedCheckIsWorthItsOwnErrorInProportion) {
  Validity v = Calibrated();
  v.checks = {{1020 * kDay, false, -0.04}};
  Bite bite = Sound();
  ApplyStale(v, 1015 * kDay, bite);
  ASSERT_EQ(bite.reasons.size(), 1U);
  EXPECT_EQ(bite.reasons[0].code, ReasonCode::kStale);
  EXPECT_NEAR(*bite.reasons[0].effect_n, 32.0, 1e-9);
  EXPECT_NE(bite.reasons[0].text.find("4.0 % too little"), std::string::npos);
  EXPECT_EQ(bite.verdict, Verdict::kDoubtful);
  EXPECT_NEAR(*bite.peak_u95_n, std::hypot(6.0, 32.0), 1e-9);
  EXPECT_NEAR(*bite.squeeze_u95_n, std::hypot(3.0, 16.0), 1e-9);
}

TEST(Stale, CalibrationBeyondItsLimitIsDoubtful) {
  Validity v = Calibrated();
  v.calibration_for_s = 180 * kDay;
  EXPECT_TRUE(StaleReasons(v, 1179 * kDay, Sound()).empty());
  const auto reasons = StaleReasons(v, 1360 * kDay, Sound());
  ASSERT_EQ(reasons.size(), 1U);
  EXPECT_NEAR(*reasons[0].effect_n, 0.006 * 800.0 * 2.0, 1e-9);
  EXPECT_EQ(reasons[0].text,
            "the calibration was 360 days old; its limit is 180 days");
}

TEST(Stale, CheckIsDueUnlessOnePassedNearEnoughOnEitherSide) {
  Validity v = Calibrated();
  v.check_every_s = 30 * kDay;
  EXPECT_TRUE(StaleReasons(v, 1029 * kDay, Sound()).empty());
  EXPECT_FALSE(StaleReasons(v, 1031 * kDay, Sound()).empty());
  v.checks = {{1040 * kDay, true, 0.0}};
  EXPECT_TRUE(StaleReasons(v, 1031 * kDay, Sound()).empty());
  EXPECT_TRUE(StaleReasons(v, 1069 * kDay, Sound()).empty());
  EXPECT_FALSE(StaleReasons(v, 1071 * kDay, Sound()).empty());
}

TEST(Stale, GrosslyFailedCheckLeavesNoHonestFigure) {
  Validity v = Calibrated();
  v.checks = {{1020 * kDay, false, 0.7}};
  Bite bite = Sound();
  ApplyStale(v, 1015 * kDay, bite);
  EXPECT_EQ(bite.verdict, Verdict::kVoid);
}

TEST(Stale, AgesAreWrittenInTheUnitThatFits) {
  EXPECT_EQ(AgeText(2 * kDay), "2 days");
  EXPECT_EQ(AgeText(5 * 3600.0), "5 hours");
  EXPECT_EQ(AgeText(100.0), "2 minutes");
  EXPECT_EQ(AgeText(1.0), "1 second");
}

}  // namespace
}  // namespace masseter
