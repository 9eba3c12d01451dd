#include "core/trust/verdict.h"

#include <gtest/gtest.h>

#include <cmath>
#include <optional>

namespace masseter {
namespace {

// A bite of 800 N +- 20 N with this evidence, judged.
Bite Judged(std::vector<Reason> reasons, std::optional<double> u95 = 20.0) {
  Bite bite;
  bite.start_s = 2.0;
  bite.end_s = 3.5;
  bite.peak_n = 800.0;
  bite.peak_u95_n = u95;
  bite.reasons = std::move(reasons);
  EventContext context;
  context.event.end_s = 3.5;
  Judge(context, bite);
  return bite;
}

Reason Of(ReasonCode code, std::optional<double> effect_n,
          double start_s = 2.5) {
  Reason reason;
  reason.code = code;
  reason.effect_n = effect_n;
  reason.start_s = start_s;
  reason.end_s = start_s;
  return reason;
}

TEST(Verdict, WithoutEvidenceABiteIsSound) {
  const Bite b = Judged({});
  EXPECT_EQ(b.verdict, Verdict::kSound);
  EXPECT_FALSE(b.at_least);
  EXPECT_EQ(b.peak_u95_n, 20.0);
  EXPECT_FALSE(b.peak_lo_n.has_value());
  EXPECT_FALSE(b.peak_hi_n.has_value());
}

TEST(Verdict, WhatStaysBelowHalfTheIntervalIsToldOnly) {
  EXPECT_EQ(Judged({Of(ReasonCode::kEdge, 9.9)}).verdict, Verdict::kSound);
  EXPECT_EQ(Judged({Of(ReasonCode::kEdge, 10.1)}).verdict, Verdict::kDoubtful);
}

TEST(Verdict, OnePerCentIsToldOnlyHoweverNarrowTheInterval) {
  EXPECT_EQ(Judged({Of(ReasonCode::kEdge, 7.9)}, 4.0).verdict, Verdict::kSound);
  EXPECT_EQ(Judged({Of(ReasonCode::kEdge, 8.1)}, 4.0).verdict,
            Verdict::kDoubtful);
}

TEST(Verdict, AnEffectBothWaysWidensTheIntervalBothWays) {
  const Bite b = Judged({Of(ReasonCode::kEdge, 15.0)});
  EXPECT_NEAR(*b.peak_u95_n, 25.0, 1e-12);  // 20, 15: 25
  EXPECT_FALSE(b.peak_lo_n.has_value());
}

TEST(Verdict, AGapWidensTheIntervalUpwardsOnly) {
  const Bite b = Judged({Of(ReasonCode::kGap, 60.0)});
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  EXPECT_FALSE(b.at_least);
  EXPECT_NEAR(*b.peak_lo_n, 780.0, 1e-12);
  EXPECT_NEAR(*b.peak_hi_n, 880.0, 1e-12);
  EXPECT_NEAR(*b.peak_u95_n, 50.0, 1e-12);  // half of 780 to 880
}

TEST(Verdict, AGapThatCanHideNothingIsToldOnly) {
  const Bite b = Judged({Of(ReasonCode::kGap, 0.0)});
  EXPECT_EQ(b.verdict, Verdict::kSound);
  EXPECT_FALSE(b.peak_hi_n.has_value());
}

TEST(Verdict, AGapThatCouldHideHalfThePeakAgainIsALowerBound) {
  EXPECT_FALSE(Judged({Of(ReasonCode::kGap, 399.0)}).at_least);
  const Bite b = Judged({Of(ReasonCode::kGap, 401.0)});
  EXPECT_TRUE(b.at_least);
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
}

TEST(Verdict, ARestartARailAndAnEndUnderLoadAreLowerBounds) {
  for (const Reason& reason : {Of(ReasonCode::kRestart, std::nullopt),
                               Of(ReasonCode::kRail, std::nullopt),
                               Of(ReasonCode::kGap, std::nullopt, 3.5)}) {
    const Bite b = Judged({reason});
    EXPECT_TRUE(b.at_least) << ReasonWord(reason.code);
    EXPECT_EQ(b.verdict, Verdict::kDoubtful) << ReasonWord(reason.code);
  }
}

TEST(Verdict, ARestartAfterTheReleaseDoesNotCount) {
  const Bite b = Judged({Of(ReasonCode::kRestart, std::nullopt, 3.6)});
  EXPECT_FALSE(b.at_least);
  EXPECT_EQ(b.verdict, Verdict::kSound);
}

TEST(Verdict, EvidenceWithoutASizeIsDoubtful) {
  for (const ReasonCode code : {ReasonCode::kSag, ReasonCode::kOverload}) {
    EXPECT_EQ(Judged({Of(code, std::nullopt)}).verdict, Verdict::kDoubtful);
  }
}

TEST(Verdict, AnEffectOfHalfThePeakIsVoid) {
  EXPECT_EQ(Judged({Of(ReasonCode::kEdge, 399.0)}).verdict, Verdict::kDoubtful);
  EXPECT_EQ(Judged({Of(ReasonCode::kEdge, 401.0)}).verdict, Verdict::kVoid);
  EXPECT_EQ(Judged({Of(ReasonCode::kZero, 401.0)}).verdict, Verdict::kVoid);
}

TEST(Verdict, AZeroThatMovedCountsWithHalfOfItsWay) {
  // It goes over the bite in a straight line: half of it is left open.
  const Bite b = Judged({Of(ReasonCode::kZero, 30.0)});
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  EXPECT_NEAR(*b.peak_u95_n, 25.0, 1e-12);  // 20, 30/2: 25
}

TEST(Verdict, AnUnseenPlaceIsDoubtfulAndInTheIntervalAlready) {
  const Bite b = Judged({Of(ReasonCode::kPlace, 20.0)});
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  EXPECT_EQ(b.peak_u95_n, 20.0);
}

TEST(Verdict, UncalibratedNewtonsAreDoubtful) {
  const Bite b =
      Judged({Of(ReasonCode::kUncalibrated, std::nullopt)}, std::nullopt);
  EXPECT_EQ(b.verdict, Verdict::kDoubtful);
  EXPECT_FALSE(b.peak_u95_n.has_value());
}

TEST(Verdict, NoPeakIsVoid) {
  Bite bite;
  Judge(EventContext{}, bite);
  EXPECT_EQ(bite.verdict, Verdict::kVoid);
}

TEST(Verdict, VoidOutweighsDoubtfulAndBoundsAreKept) {
  const Bite b = Judged(
      {Of(ReasonCode::kZero, 500.0), Of(ReasonCode::kRail, std::nullopt)});
  EXPECT_EQ(b.verdict, Verdict::kVoid);
  EXPECT_TRUE(b.at_least);
}

TEST(Verdict, EffectsOfSeveralReasonsAddUp) {
  const Bite b =
      Judged({Of(ReasonCode::kGap, 30.0, 2.2), Of(ReasonCode::kGap, 40.0, 2.8),
              Of(ReasonCode::kSlow, 15.0)});
  // Gaps and slow sampling hide only what is higher: hypot(20, 15) = 25.
  EXPECT_NEAR(*b.peak_lo_n, 780.0, 1e-12);
  EXPECT_NEAR(*b.peak_hi_n, 800.0 + 25.0 + 70.0, 1e-12);
  EXPECT_NEAR(*b.peak_u95_n, 0.5 * (20.0 + 95.0), 1e-12);
}

TEST(Verdict, WidensEachSideOfAnIntervalThatIsNotSymmetric) {
  Bite bite;
  bite.peak_n = 800.0;
  bite.peak_lo_n = 792.0;
  bite.peak_hi_n = 824.0;
  bite.peak_u95_n = 16.0;
  bite.reasons = {Of(ReasonCode::kGlitch, 10.0), Of(ReasonCode::kGap, 5.0)};
  Judge(EventContext{}, bite);
  EXPECT_NEAR(*bite.peak_lo_n, 800.0 - std::hypot(8.0, 10.0), 1e-12);
  EXPECT_NEAR(*bite.peak_hi_n, 800.0 + std::hypot(24.0, 10.0) + 5.0, 1e-12);
  EXPECT_NEAR(*bite.peak_u95_n, 0.5 * (*bite.peak_hi_n - *bite.peak_lo_n),
              1e-12);
}

}  // namespace
}  // namespace masseter
