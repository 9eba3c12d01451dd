#include "core/trust/verdict.h"

#include <algorithm>
#include <cmath>

namespace masseter {
namespace {

constexpr double kToldOnly = 0.01;
constexpr double kLowerBoundShare = 0.5;

class Judgement {
 public:
  explicit Judgement(Bite& bite)
      : bite_(bite),
        peak_(bite.peak_n.value_or(0.0)),
        told_only_(
            std::max(0.5 * bite.peak_u95_n.value_or(0.0), kToldOnly * peak_)) {}

  void Weigh(const Reason& reason) {
    const double effect = reason.effect_n.value_or(0.0);
    if (reason.lower_bound) {
      LowerBound();
      return;
    }
    switch (reason.code) {
      case ReasonCode::kGap:
        if (!reason.effect_n || effect > kLowerBoundShare * peak_) {
          LowerBound();
        } else {
          up_ += effect;
          Doubt(effect);
        }
        return;
      case ReasonCode::kRestart:
        LowerBound();
        return;
      case ReasonCode::kRail:
        if (!reason.effect_n) {
          LowerBound();
        } else {
          ChannelFailed(effect);  // told from the others
        }
        return;
      case ReasonCode::kUncalibrated:
        // A force unit without calibration still gives a figure to look at.
        doubtful_ = true;
        return;
      case ReasonCode::kWithdrawn:
        void_ = true;  // a word, not an effect
        return;
      case ReasonCode::kPlace:
      case ReasonCode::kMotion:
        doubtful_ = true;  // its effect is in the interval already
        return;
      case ReasonCode::kStuck:
      case ReasonCode::kLoose:
        ChannelFailed(effect);
        return;
      case ReasonCode::kZero:
        Doubt(effect);
        if (effect > kLowerBoundShare * peak_) void_ = true;
        both_ += 0.5 * effect;
        return;
      case ReasonCode::kSlow:
        above_ += effect;  // a loss: the true peak can only be higher
        Doubt(effect);
        if (effect > kLowerBoundShare * peak_) void_ = true;
        return;
      default:
        if (!reason.effect_n) doubtful_ = true;
        Doubt(effect);
        both_ += effect;
        if (effect > kLowerBoundShare * peak_) void_ = true;
    }
  }

  void Conclude() {
    bite_.at_least = at_least_;
    bite_.verdict = void_       ? Verdict::kVoid
                    : doubtful_ ? Verdict::kDoubtful
                                : Verdict::kSound;
    if (!bite_.peak_u95_n) return;
    const double half = *bite_.peak_u95_n;
    const double down = peak_ - bite_.peak_lo_n.value_or(peak_ - half);
    const double up = bite_.peak_hi_n.value_or(peak_ + half) - peak_;
    const double low = peak_ - std::hypot(down, both_);
    const double high = peak_ + std::hypot(up, both_ + above_) + up_;
    bite_.peak_u95_n = 0.5 * (high - low);
    if (up_ > 0.0 || above_ > 0.0 || bite_.peak_lo_n) {
      bite_.peak_lo_n = low;
      bite_.peak_hi_n = high;
    }
  }

 private:
  // A channel that failed within the bite is not trusted elsewhere in it to
  // better than a per cent.
  void ChannelFailed(double effect) {
    doubtful_ = true;
    both_ += std::max(effect, kToldOnly * peak_);
    if (effect > kLowerBoundShare * peak_) void_ = true;
  }
  void LowerBound() {
    at_least_ = true;
    doubtful_ = true;
  }
  void Doubt(double effect) {
    if (effect > told_only_) doubtful_ = true;
  }

  Bite& bite_;
  double peak_;
  double told_only_;
  double up_ = 0.0;     // may be hidden above, whatever else is wrong
  double above_ = 0.0;  // an effect that can only have lowered the figure
  double both_ = 0.0;
  bool doubtful_ = false;
  bool void_ = false;
  bool at_least_ = false;
};

}  // namespace

void Judge(const EventContext& context, Bite& bite) {
  Judgement judgement(bite);
  for (const Reason& reason : bite.reasons) {
    const bool of_the_release =
        (reason.code == ReasonCode::kRestart ||
         (reason.code == ReasonCode::kGap && !reason.effect_n)) &&
        reason.start_s >= bite.end_s && context.event.end_s < reason.start_s;
    if (!of_the_release) judgement.Weigh(reason);
  }
  judgement.Conclude();
  if (!bite.peak_n) bite.verdict = Verdict::kVoid;
}

}  // namespace masseter
