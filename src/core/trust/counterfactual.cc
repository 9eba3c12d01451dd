#include "core/trust/counterfactual.h"

#include <algorithm>

#include "core/trust/budget.h"
#include "core/trust/stale.h"
#include "core/trust/verdict.h"

namespace masseter {
namespace {

bool TookTheForceAway(const Reason& reason) {
  return reason.lower_bound || reason.code == ReasonCode::kRestart ||
         ((reason.code == ReasonCode::kRail ||
           reason.code == ReasonCode::kGap) &&
          !reason.effect_n) ||
         reason.code == ReasonCode::kUncalibrated;
}

}  // namespace

Counterfactual WithoutReason(const MeasuredBite& measured, std::size_t index) {
  Counterfactual out;
  out.bite = measured.bite;
  Bite& bite = out.bite;
  out.known = bite.peak_n.has_value() && !TookTheForceAway(bite.reasons[index]);
  bite.reasons.erase(bite.reasons.begin() + static_cast<std::ptrdiff_t>(index));
  const auto late = std::stable_partition(
      bite.reasons.begin(), bite.reasons.end(),
      [](const Reason& r) { return r.code != ReasonCode::kStale; });
  const std::vector<Reason> stale(late, bite.reasons.end());
  bite.reasons.erase(late, bite.reasons.end());
  bite.at_least = false;
  SetPeakInterval(bite);
  EventContext context;
  context.event = measured.event;
  Judge(context, bite);
  HoldAgainst(stale, bite);
  return out;
}

}  // namespace masseter
