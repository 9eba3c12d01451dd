#include "core/trust/counterfactual.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "core/trust/budget.h"
#include "core/trust/stale.h"
#include "core/trust/verdict.h"

namespace masseter {
namespace {

Reason Of(ReasonCode code, std::optional<double> effect_n) {
  Reason reason;
  reason.code = code;
  reason.effect_n = effect_n;
  return reason;
}

// 800 N, u = 10 N, with this evidence, judged.
MeasuredBite Judged(std::vector<Reason> reasons,
                    const std::vector<Reason>& stale = {}) {
  MeasuredBite out;
  out.bite.peak_n = 800.0;
  out.bite.end_s = 3.0;
  out.event.end_s = 3.0;
  out.bite.budget = {
      {"calibration", 10.0, std::numeric_limits<double>::infinity(), "normal"}};
  out.bite.reasons = std::move(reasons);
  SetPeakInterval(out.bite);
  EventContext context;
  context.event = out.event;
  Judge(context, out.bite);
  HoldAgainst(stale, out.bite);
  return out;
}

constexpr double kHalf = 19.59964;  // 1.959964 x 10 N

TEST(WithoutReason, TakesOffWhatTheReasonAdded) {
  const MeasuredBite b = Judged({Of(ReasonCode::kGap, 90.0)});
  EXPECT_EQ(b.bite.verdict, Verdict::kDoubtful);
  EXPECT_NEAR(*b.bite.peak_hi_n, 890.0 + kHalf, 1e-4);
  const Counterfactual c = WithoutReason(b, 0);
  EXPECT_TRUE(c.known);
  EXPECT_EQ(c.bite.verdict, Verdict::kSound);
  EXPECT_NEAR(*c.bite.peak_u95_n, kHalf, 1e-4);
  EXPECT_FALSE(c.bite.peak_hi_n.has_value());
}

TEST(WithoutReason, LeavesTheOtherReasonsStanding) {
  const MeasuredBite b =
      Judged({Of(ReasonCode::kGap, 90.0), Of(ReasonCode::kOdd, 40.0)},
             {Of(ReasonCode::kStale, 30.0)});
  const Counterfactual c = WithoutReason(b, 0);
  EXPECT_EQ(c.bite.verdict, Verdict::kDoubtful);
  EXPECT_NEAR(*c.bite.peak_u95_n, std::sqrt(kHalf * kHalf + 1600.0 + 900.0),
              1e-4);
  ASSERT_EQ(c.bite.reasons.size(), 2U);
  EXPECT_NEAR(*WithoutReason(b, 2).bite.peak_hi_n,
              800.0 + std::hypot(kHalf, 40.0) + 90.0, 1e-4);
}

TEST(WithoutReason, CannotSayWhatALostForceWas) {
  EXPECT_FALSE(
      WithoutReason(Judged({Of(ReasonCode::kRestart, std::nullopt)}), 0).known);
  EXPECT_FALSE(
      WithoutReason(Judged({Of(ReasonCode::kRail, std::nullopt)}), 0).known);
}

}  // namespace
}  // namespace masseter
