#include "core/trust/stale.h"

#include <algorithm>
#include <cmath>

#include "core/trust/advice.h"
#include "core/trust/words.h"

namespace masseter {
namespace {

constexpr double kMostLimits = 3.0;
constexpr double kVoidShare = 0.5;

double OverdueEffect(const Validity& validity, double age_s, double limit_s,
                     double peak_n) {
  const double limits = limit_s > 0.0 ? age_s / limit_s : kMostLimits;
  return validity.expanded_relative_u95 * peak_n *
         std::clamp(limits, 1.0, kMostLimits);
}

struct Neighbours {
  const CheckMade* before = nullptr;       // last check before the bite
  const CheckMade* after = nullptr;        // first one after it
  const CheckMade* good_before = nullptr;  // last one that passed
  const CheckMade* good_after = nullptr;
};

Neighbours Around(const Validity& validity, double at) {
  Neighbours out;
  for (const CheckMade& check : validity.checks) {
    if (check.at_unix_s <= at) {
      out.before = &check;
      if (check.within) out.good_before = &check;
    } else {
      if (out.after == nullptr) out.after = &check;
      if (check.within && out.good_after == nullptr) out.good_after = &check;
    }
  }
  return out;
}

std::string OffText(const CheckMade& check) {
  return "it read " + InPercent(std::abs(check.relative_error)) +
         (check.relative_error < 0.0 ? " too little" : " too much");
}

}  // namespace

std::string AgeText(double seconds) {
  struct Unit {
    double length_s;
    const char* one;
    const char* many;
  };
  static constexpr Unit kUnits[] = {{86400.0, " day", " days"},
                                    {3600.0, " hour", " hours"},
                                    {60.0, " minute", " minutes"},
                                    {1.0, " second", " seconds"}};
  for (const Unit& unit : kUnits) {
    const auto n = std::lround(seconds / unit.length_s);
    if (seconds < 1.5 * unit.length_s && unit.length_s > 1.0) continue;
    return std::to_string(n) + (n == 1 ? unit.one : unit.many);
  }
  return "0 seconds";
}

std::vector<Reason> StaleReasons(const Validity& validity, double at,
                                 const Bite& bite) {
  std::vector<Reason> out;
  const double peak = bite.peak_n.value_or(0.0);
  const auto add = [&](std::string text, double effect) {
    Reason reason{ReasonCode::kStale,
                  std::move(text),
                  std::nullopt,
                  bite.start_s,
                  bite.end_s,
                  AdviceFor(ReasonCode::kStale),
                  false};
    if (bite.peak_n) reason.effect_n = effect;
    out.push_back(std::move(reason));
  };
  const Neighbours near = Around(validity, at);
  const CheckMade* failed =
      near.after != nullptr && !near.after->within     ? near.after
      : near.before != nullptr && !near.before->within ? near.before
                                                       : nullptr;
  if (failed != nullptr) {
    add(std::string("the check load ") +
            (failed == near.after ? "after" : "before") +
            " it failed: " + OffText(*failed) + "; calibrate again",
        std::abs(failed->relative_error) * peak);
  }
  const double age = at - validity.calibrated_unix_s;
  if (validity.calibration_for_s && age > *validity.calibration_for_s) {
    add("the calibration was " + AgeText(age) + " old; its limit is " +
            AgeText(*validity.calibration_for_s),
        OverdueEffect(validity, age, *validity.calibration_for_s, peak));
  }
  if (validity.check_every_s) {
    const double since =
        at - std::max(validity.calibrated_unix_s,
                      near.good_before ? near.good_before->at_unix_s : 0.0);
    const double until = near.good_after ? near.good_after->at_unix_s - at
                                         : *validity.check_every_s + 1.0;
    if (since > *validity.check_every_s && until > *validity.check_every_s) {
      add("no check load passed for " + AgeText(since) +
              " before it; one is due every " +
              AgeText(*validity.check_every_s),
          OverdueEffect(validity, since, *validity.check_every_s, peak));
    }
  }
  return out;
}

void ApplyStale(const Validity& validity, double bite_unix_s, Bite& bite) {
  HoldAgainst(StaleReasons(validity, bite_unix_s, bite), bite);
}

void HoldAgainst(const std::vector<Reason>& reasons, Bite& bite) {
  double effect = 0.0;
  for (const Reason& reason : reasons) {
    effect = std::max(effect, reason.effect_n.value_or(0.0));
    bite.reasons.push_back(reason);
  }
  if (reasons.empty() || bite.verdict == Verdict::kVoid) return;
  bite.verdict = Verdict::kDoubtful;
  const double peak = bite.peak_n.value_or(0.0);
  if (effect > kVoidShare * peak) bite.verdict = Verdict::kVoid;
  if (bite.peak_u95_n) bite.peak_u95_n = std::hypot(*bite.peak_u95_n, effect);
  if (bite.peak_lo_n) {
    bite.peak_lo_n = peak - std::hypot(peak - *bite.peak_lo_n, effect);
  }
  if (bite.peak_hi_n) {
    bite.peak_hi_n = peak + std::hypot(*bite.peak_hi_n - peak, effect);
  }
  if (bite.squeeze_u95_n && bite.squeeze_n && peak > 0.0) {
    bite.squeeze_u95_n =
        std::hypot(*bite.squeeze_u95_n, effect * *bite.squeeze_n / peak);
  }
}

}  // namespace masseter
