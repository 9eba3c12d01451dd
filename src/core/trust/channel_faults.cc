#include "core/trust/channel_faults.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include "core/trust/lone_cell.h"
#include "core/trust/stuck_channel.h"

namespace masseter {
namespace {

using Kind = ChannelFault::Kind;

constexpr double kNoises = 8.0;
constexpr double kLeastJumpN = 3.0;
constexpr double kShareAMillisecond = 0.01;
constexpr double kOthersShare = 0.3;
constexpr double kMostBackN = 30.0;
constexpr double kBackShare = 0.03;   // of the jump
constexpr double kDriftShare = 0.08;  // of what the channel should read
constexpr std::size_t kBackSamples = 3;
constexpr std::size_t kFlank = 12;
constexpr double kStepAgrees = 0.35;
// A single cell has nothing to be compared with.
constexpr double kAloneS = 0.1;
constexpr double kAlonePeriodS = 0.0065;
constexpr double kAloneShareOfRange = 0.02;
constexpr double kAloneTimes = 6.0;

bool IsWord(double raw) {
  if (raw == -1.0) return true;
  if (raw < 255.0 || raw != std::floor(raw)) return false;
  const double next = raw + 1.0;
  return std::exp2(std::round(std::log2(next))) == next;
}

// Looks for jumps of one channel that the others do not share.
class JumpFinder {
 public:
  JumpFinder(const ForceModel& model, const EventContext& context,
             const ChannelTraces& traces, std::size_t channel,
             const std::vector<ChannelFault>& stuck)
      : model_(model),
        context_(context),
        t_(traces),
        c_(channel),
        masked_(traces.size(), 0),
        away_(traces.size(), 0),
        scale_(std::clamp(context.period_s / 1e-3, 1.0, 10.0)),
        alone_(traces.channels() == 1) {
    double square = 0.0;
    for (std::size_t k = 0; k < t_.channels(); ++k) {
      if (k != c_) square += t_.noise_n[k] * t_.noise_n[k];
    }
    others_noise_ = std::sqrt(square);
    least_step_ = std::max(
        (alone_ ? 1.25 : 1.0) * kNoises * std::sqrt(2.0) * t_.noise_n[c_],
        alone_ ? 0.0 : kLeastJumpN);
    for (const ChannelFault& fault : stuck) {
      for (std::size_t i = fault.begin; i < fault.end; ++i) masked_[i] = 1;
      if (fault.end < masked_.size()) masked_[fault.end] = 1;
    }
  }

  // `capacity_n` of a lone cell.
  std::vector<ChannelFault> Find(std::optional<double> capacity_n) {
    if (alone_) {
      for (const AwaySpan& span : JumpsNoForceMakes(
               t_, context_.period_s, model_.range_n, capacity_n, masked_)) {
        AddAway(span.begin, span.off);
      }
    }
    std::size_t i = 1;
    while ((i = NextStep(i)) < t_.size()) {
      const std::optional<double> jump = alone_ ? LonelyJump(i) : Jump(i);
      if (!jump || !Opens(i, *jump)) {
        ++i;
        continue;
      }
      i = std::max(Follow(i, *jump), i + 1);
    }
    Name();
    return std::move(faults_);
  }

 private:
  // The next sample from `i` on that is a step large enough to be looked at.
  std::size_t NextStep(std::size_t i) const {
    const std::vector<double>& p = t_.p[c_];
    while (i < p.size() && std::abs(p[i] - p[i - 1]) < least_step_) ++i;
    return i;
  }

  double Step(std::size_t k, std::size_t i) const {
    return t_.p[k][i] - t_.p[k][i - 1];
  }

  // Channel k's step at i against the median of the six around it.
  double StandsOut(std::size_t k, std::size_t i) const {
    std::array<double, 6> around{};
    std::size_t n = 0;
    for (std::size_t j = i > 3 ? i - 3 : 1; j <= i + 3 && j < t_.size(); ++j) {
      if (j != i && t_.fresh[j] == 0) around[n++] = Step(k, j);
    }
    if (n == 0) return Step(k, i);
    const auto middle = around.begin() + static_cast<std::ptrdiff_t>(n / 2);
    std::nth_element(around.begin(), middle,
                     around.begin() + static_cast<std::ptrdiff_t>(n));
    return Step(k, i) - *middle;
  }

  std::optional<double> Jump(std::size_t i) const {
    if (t_.fresh[i] != 0 || masked_[i] != 0) return std::nullopt;
    const double noise = kNoises * std::sqrt(2.0) * t_.noise_n[c_];
    const double step = std::abs(Step(c_, i));
    if (step < std::max(noise, kLeastJumpN)) return std::nullopt;
    // Of the load by the others' witness too: a wild channel's own word would
    // raise the bar that it has to jump over.
    const double load =
        std::min(std::max(std::abs(t_.total[i]), std::abs(t_.total[i - 1])),
                 4.0 * std::abs(t_.Others(c_, i)) + 30.0);
    const double own =
        std::max({noise, kLeastJumpN, kShareAMillisecond * scale_ * load});
    if (step < own) return std::nullopt;
    const double d = StandsOut(c_, i);
    if (std::abs(d) < own) return std::nullopt;
    double others = 0.0;
    for (std::size_t k = 0; k < t_.channels(); ++k) {
      if (k != c_) others += StandsOut(k, i);
    }
    if (std::abs(others) >
        kOthersShare * std::abs(d) + 4.0 * std::sqrt(2.0) * others_noise_) {
      return std::nullopt;
    }
    const double shared = t_.ratio[c_] * others;
    const double e = d - shared;
    if (std::abs(e) < own + 0.5 * std::abs(shared)) return std::nullopt;
    return e;
  }

  // One cell: a step with nothing like it around.
  std::optional<double> LonelyJump(std::size_t i) const {
    if (context_.period_s > kAlonePeriodS || t_.fresh[i] != 0 ||
        masked_[i] != 0 || away_[i] != 0 || away_[i - 1] != 0) {
      return std::nullopt;
    }
    const double d = Step(0, i);
    double around = 0.0;
    for (std::size_t j = i > 4 ? i - 4 : 1; j <= i + 4 && j < t_.size(); ++j) {
      if (j + 1 < i || j > i + 1)
        around = std::max(around, std::abs(Step(0, j)));
    }
    const double least =
        std::max({1.25 * kNoises * std::sqrt(2.0) * t_.noise_n[0],
                  kAloneShareOfRange * model_.range_n, kAloneTimes * around});
    if (std::abs(d) < least) return std::nullopt;
    return d;
  }

  // Learns from the good samples before `i` what the channel should read.
  void LearnFlank(std::size_t i) {
    double own = 0.0;
    double others = 0.0;
    double off = 0.0;
    double n = 0.0;
    for (std::size_t j = i; j-- > 0 && n < static_cast<double>(kFlank);) {
      if (masked_[j] != 0 || i - j > 5 * kFlank) break;
      if (away_[j] != 0) continue;
      own += t_.p[c_][j];
      others += t_.Others(c_, j);
      if (!alone_) off += t_.p[c_][j] - FromOthers(model_, t_, c_, j, 0.0);
      n += 1.0;
    }
    const bool mapped =
        model_.calibration && model_.calibration->channel_map.Predicts();
    const double loaded = 10.0 + 4.0 * others_noise_;
    ratio_ = n > 0.0 && others / n > loaded ? own / others : t_.ratio[c_];
    offset_ = mapped && n > 0.0 ? off / n : 0.0;
    last_good_ = n > 0.0 ? own / n : 0.0;
    if (alone_ && i >= 1) last_good_ = t_.p[c_][i - 1];
  }

  double Expected(std::size_t i) const {
    if (alone_) return last_good_;
    return FromOthers(model_, t_, c_, i, ratio_) + offset_;
  }

  double Tolerance(std::size_t i, double jump) const {
    if (alone_) return 0.3 * std::abs(jump);
    return std::min(kBackShare * std::abs(jump), kMostBackN) +
           kDriftShare * std::abs(Expected(i)) + 6.0 * t_.noise_n[c_];
  }

  bool Opens(std::size_t i, double jump) {
    LearnFlank(i);
    const double off = std::abs(t_.p[c_][i] - Expected(i));
    return off > std::max(2.0 * Tolerance(i, 0.0), 0.5 * std::abs(jump));
  }

  // Follows the channel while it is away; returns where to go on.
  std::size_t Follow(std::size_t begin, double jump) {
    std::size_t back = 0;
    std::vector<char> off(1, 1);  // from `begin`: sample is away
    for (std::size_t i = begin; i < t_.size(); ++i) {
      if (alone_ &&
          static_cast<double>(i - begin) * context_.period_s > kAloneS) {
        return begin + 1;  // nothing says that this is not the dog
      }
      const bool away =
          std::abs(t_.p[c_][i] - Expected(i)) >= Tolerance(i, jump);
      back = away ? 0 : back + 1;
      if (i > begin) off.push_back(away ? 1 : 0);
      if (back >= kBackSamples || (back > 0 && i + 1 == t_.size())) {
        if (ZeroAgrees(jump)) break;
        off.resize(i + 1 - back - begin);
        AddAway(begin, off);
        return i + 1 - back;
      }
    }
    if (!alone_) Stays(begin, jump);
    return t_.size();
  }

  // Single samples and pairs that stand apart are faults of their own; else
  // all of it is one.
  void AddAway(std::size_t begin, const std::vector<char>& off) {
    std::vector<std::pair<std::size_t, std::size_t>> runs;
    std::size_t longest = 0;
    for (std::size_t i = 0; i < off.size(); ++i) {
      if (off[i] == 0) continue;
      if (i == 0 || off[i - 1] == 0) runs.emplace_back(i, i);
      runs.back().second = i + 1;
      longest = std::max(longest, i + 1 - runs.back().first);
    }
    if (longest > 2) {
      Add(Kind::kLoose, begin, begin + off.size());
      return;
    }
    for (const auto& [from, to] : runs) {
      Add(Kind::kLoose, begin + from, begin + to);
    }
  }

  // How far the zero of this channel moved over the bite, newtons.
  double ZeroMove() const {
    if (!context_.zeros.after) return 0.0;
    return model_.estimator.gain[c_] *
           (context_.zeros.after->value[c_] - context_.zeros.before.value[c_]);
  }
  bool ZeroAgrees(double jump) const {
    return !alone_ && context_.zeros.after &&
           std::abs(ZeroMove()) > 0.5 * std::abs(jump) &&
           std::abs(ZeroMove() - jump) <
               kStepAgrees * std::abs(jump) + kLeastJumpN;
  }

  // It did not come back: a zero that moved, or a wire that is off.
  void Stays(std::size_t begin, double jump) {
    double off = 0.0;
    double n = 0.0;
    for (std::size_t i = begin; i < t_.size() && n < 30.0; ++i) {
      off += t_.p[c_][i] - Expected(i);
      n += 1.0;
    }
    off /= n;
    const double moved = ZeroMove();
    const bool zero =
        ZeroAgrees(jump) ||
        (context_.zeros.after &&
         std::abs(moved - off) < kStepAgrees * std::abs(jump) + kLeastJumpN);
    Add(zero ? Kind::kStep : Kind::kLoose, begin, t_.size());
    faults_.back().step_n = zero ? moved : 0.0;
    faults_.back().open = !zero;
  }

  void Add(Kind kind, std::size_t begin, std::size_t end) {
    // No flank for what comes later.
    for (std::size_t i = begin; i < end; ++i) away_[i] = 1;
    ChannelFault fault;
    fault.kind = kind;
    fault.channel = c_;
    fault.begin = begin;
    fault.end = end;
    faults_.push_back(fault);
  }

  // One or two samples, or words that no converter means, are glitches; the
  // short ones of a channel that is loose for longer belong to that.
  void Name() {
    bool loose = false;
    for (ChannelFault& fault : faults_) {
      if (fault.kind != Kind::kLoose) continue;
      const std::size_t n = fault.end - fault.begin;
      bool words = n <= 3;
      for (std::size_t i = fault.begin; i < fault.end && words; ++i) {
        words = IsWord(t_.raw[c_][i]);
      }
      const bool brief = n == 1 || (n == 2 && context_.period_s <= 1.5e-3);
      if (words || brief) {
        fault.kind = Kind::kGlitch;
      } else {
        loose = true;
      }
    }
    if (!loose) return;
    for (ChannelFault& fault : faults_) {
      if (fault.kind == Kind::kGlitch) fault.kind = Kind::kLoose;
    }
  }

  const ForceModel& model_;
  const EventContext& context_;
  const ChannelTraces& t_;
  std::size_t c_;
  std::vector<char> masked_;  // stuck
  std::vector<char> away_;    // in a fault found already
  double scale_;
  bool alone_;
  double others_noise_ = 0.0;
  double least_step_ = 0.0;
  double ratio_ = 0.0;
  double offset_ = 0.0;
  double last_good_ = 0.0;
  std::vector<ChannelFault> faults_;
};

constexpr double kAtEndShare = 0.8;  // the way there and back may show

bool StoodAtEnd(const Rig& rig, const ChannelTraces& t,
                const ChannelFault& fault) {
  const Channel& channel = rig.channels[fault.channel];
  if (fault.kind != Kind::kLoose || !channel.adc_min || !channel.adc_max) {
    return false;
  }
  double at_end = 0.0;
  for (std::size_t i = fault.begin; i < fault.end; ++i) {
    const double word = t.raw[fault.channel][i];
    if (word >= *channel.adc_max || word <= *channel.adc_min) at_end += 1.0;
  }
  return at_end >= kAtEndShare * static_cast<double>(fault.end - fault.begin);
}

// A run of equal words that was jumped into belongs to the jump.
bool WasJumpedInto(const std::vector<ChannelFault>& jumps,
                   const ChannelFault& stuck) {
  return std::any_of(jumps.begin(), jumps.end(), [&](const ChannelFault& j) {
    return j.kind == Kind::kLoose && !j.open && j.begin <= stuck.begin + 2 &&
           j.begin + 2 >= stuck.begin && j.end + 2 >= stuck.end;
  });
}

struct FaultsOfOne {
  std::vector<ChannelFault> jumps;
  std::vector<ChannelFault> stuck;
};

FaultsOfOne LookAt(const Rig& rig, const ForceModel& model,
                   const EventContext& context, const ChannelTraces& traces,
                   std::size_t c, const WildSamples& wild) {
  std::optional<double> capacity_n;
  if (rig.channels[c].capacity) capacity_n = rig.channels[c].capacity->si();
  FaultsOfOne out;
  out.stuck = FindStuck(rig, traces, c, wild);
  if (!out.stuck.empty()) {
    // Without the mask first: was the run jumped into, and out of?
    const auto jumps =
        JumpFinder(model, context, traces, c, {}).Find(capacity_n);
    std::erase_if(out.stuck, [&](const ChannelFault& fault) {
      return WasJumpedInto(jumps, fault);
    });
  }
  out.jumps = JumpFinder(model, context, traces, c, out.stuck).Find(capacity_n);
  for (ChannelFault& fault : out.jumps) {
    fault.at_end = StoodAtEnd(rig, traces, fault);
  }
  return out;
}

// {} where no channel is wild.
WildSamples WildIn(const std::vector<FaultsOfOne>& all, std::size_t samples) {
  WildSamples out;
  for (std::size_t c = 0; c < all.size(); ++c) {
    for (const ChannelFault& fault : all[c].jumps) {
      if (fault.kind == Kind::kStep) continue;
      if (out.empty()) {
        out.assign(all.size(), std::vector<char>(samples, 0));
      }
      // The way there and back may show on either side.
      const std::size_t begin =
          fault.begin - std::min<std::size_t>(fault.begin, 2);
      const std::size_t end = std::min(fault.end + 2, samples);
      for (std::size_t k = begin; k < end; ++k) out[c][k] = 1;
    }
  }
  return out;
}

}  // namespace

double FromOthers(const ForceModel& model, const ChannelTraces& t,
                  std::size_t c, std::size_t i, double ratio) {
  if (!model.calibration || !model.calibration->channel_map.Predicts()) {
    return ratio * t.Others(c, i);
  }
  std::array<double, kMaxChannels> p{};
  for (std::size_t k = 0; k < t.channels(); ++k) p[k] = t.p[k][i];
  return model.calibration->channel_map.Predict(
      c, std::span(p.data(), t.channels()));
}

std::vector<ChannelFault> FindChannelFaults(const Rig& rig,
                                            const ForceModel& model,
                                            const EventContext& context,
                                            const ChannelTraces& traces) {
  std::vector<FaultsOfOne> all;
  for (std::size_t c = 0; c < traces.channels(); ++c) {
    all.push_back(LookAt(rig, model, context, traces, c, {}));
  }
  // A wild channel makes those that stand still look stuck.
  const WildSamples wild = WildIn(all, traces.size());
  std::vector<ChannelFault> out;
  for (std::size_t c = 0; c < traces.channels(); ++c) {
    if (!all[c].stuck.empty() && !wild.empty()) {
      all[c] = LookAt(rig, model, context, traces, c, wild);
    }
    out.insert(out.end(), all[c].jumps.begin(), all[c].jumps.end());
    out.insert(out.end(), all[c].stuck.begin(), all[c].stuck.end());
  }
  return out;
}

}  // namespace masseter
