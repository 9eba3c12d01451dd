#include "core/trust/channel_evidence.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "core/trust/advice.h"
#include "core/trust/words.h"

namespace masseter {
namespace {

using Kind = ChannelFault::Kind;

constexpr double kNearPeakS = 0.02;
constexpr double kOddErrors = 4.0;
constexpr double kOddShare = 0.04;
constexpr double kPulledShare = 0.15;

// All faults of one kind and channel within the bite.
struct Group {
  Kind kind = Kind::kLoose;
  std::size_t channel = 0;
  int count = 0;
  std::size_t samples = 0;
  bool whole = false;
  bool open = false;
  bool at_end = false;
  double step_n = 0.0;
  double start_s = 0.0;
  double end_s = 0.0;
  double effect_n = 0.0;
  bool bound = false;
  bool from_map = false;
};

// What the repair of rows [begin, end) leaves open of the peak.
double EffectOn(const Mended& m, const ChannelFault& f, const MeasuredBite& b,
                const PeakEstimate& peak) {
  const ForceSeries& s = b.series;
  double effect = 0.0;
  for (std::size_t i = f.begin; i < f.end; ++i) {
    const std::uint64_t row = m.first_row + i;
    if (row < s.first_row + b.span.begin || row >= s.first_row + b.span.end) {
      continue;
    }
    const auto k = static_cast<std::size_t>(row - s.first_row);
    const double above = s.filtered_n[k] + m.doubt_n[i] - peak.force_n;
    effect = std::max(effect, above);
    if (std::abs(s.t_s[k] - peak.at_s) < kNearPeakS) {
      effect = std::max(effect, m.doubt_n[i]);
    }
  }
  return effect;
}

Group& GroupOf(std::vector<Group>& groups, const ChannelFault& f) {
  for (Group& g : groups) {
    const bool same = g.kind == f.kind && g.at_end == f.at_end;
    if (same && g.channel == f.channel) return g;
  }
  groups.emplace_back();
  groups.back().kind = f.kind;
  groups.back().channel = f.channel;
  groups.back().at_end = f.at_end;
  return groups.back();
}

std::vector<Group> GroupsOf(const Mended& m, const MeasuredBite& b,
                            const PeakEstimate& peak) {
  std::vector<Group> groups;
  const ForceSeries& s = b.series;
  for (const MendedFault& mended : m.faults) {
    const ChannelFault& f = mended.fault;
    const std::uint64_t first =
        std::max(m.first_row + f.begin, b.bite.first_row);
    const std::uint64_t last =
        std::min(m.first_row + f.end - 1, b.bite.last_row);
    if (first > last) continue;
    Group& g = GroupOf(groups, f);
    const double from = s.t_s[first - s.first_row];
    const double to = s.t_s[last - s.first_row];
    g.start_s = g.count == 0 ? from : std::min(g.start_s, from);
    g.end_s = std::max(g.end_s, to);
    ++g.count;
    g.samples += last - first + 1;
    g.whole = g.whole || f.whole;
    g.open = g.open || f.open;
    g.step_n += f.step_n;
    g.bound = g.bound || mended.mending == Mending::kBound;
    g.from_map = g.from_map || mended.mending == Mending::kFromMap;
    g.effect_n = std::max(g.effect_n, EffectOn(m, f, b, peak));
  }
  return groups;
}

std::string Told(const Group& g) {
  if (g.bound) {
    return "; nothing tells its force meanwhile, so that only a lower bound "
           "is left";
  }
  return g.from_map ? "; its force meanwhile is told from the other channels "
                      "by the calibrated map"
                    : "; its force meanwhile is told from its share in the "
                      "same bite";
}

std::string Times(int n) {
  return n == 1 ? "once" : n == 2 ? "twice" : std::to_string(n) + " times";
}

std::string TextOf(const Group& g, const std::string& name, bool alone,
                   double period_s) {
  const std::string time =
      InMilliseconds(static_cast<double>(g.samples) * period_s);
  switch (g.kind) {
    case Kind::kStuck:
      return (g.whole ? name + " does not move at all"
                      : name + " stood at one value for " + time +
                            (alone ? ", which no force does"
                                   : " while the others moved")) +
             Told(g);
    case Kind::kFlatTop:
      return name + " stood flat at its highest value for " + time +
             ", as an amplifier at its end does; the true force is higher";
    case Kind::kLoose:
      if (g.at_end) {
        return name + " jumped to the end of its converter's scale, " + time +
               " in all" + Told(g);
      }
      if (g.open) return name + " dropped out and did not come back" + Told(g);
      return name + " jumped away and back " + Times(g.count) + ", " + time +
             " in all" + Told(g);
    case Kind::kGlitch:
      return std::to_string(g.samples) +
             (g.samples == 1 ? " impossible value of "
                             : " impossible values of ") +
             name + (g.samples == 1 ? " was" : " were") +
             " replaced by what the samples around say";
    case Kind::kStep:
      return "the zero of " + name + " jumped by " + InNewtons(g.step_n) +
             " within the bite; the jump was taken out from its sample on";
  }
  return "";
}

ReasonCode CodeOf(Kind kind) {
  switch (kind) {
    case Kind::kStuck:
      return ReasonCode::kStuck;
    case Kind::kFlatTop:
      return ReasonCode::kRail;
    case Kind::kLoose:
      return ReasonCode::kLoose;
    case Kind::kGlitch:
      return ReasonCode::kGlitch;
    case Kind::kStep:
      return ReasonCode::kZero;
  }
  return ReasonCode::kLoose;
}

Reason ReasonFrom(const Group& g, const Rig& rig, double period_s) {
  const std::string& name = rig.channels[g.channel].name;
  Reason out;
  out.code = g.at_end ? ReasonCode::kRail : CodeOf(g.kind);
  out.text = TextOf(g, name, rig.channels.size() == 1, period_s);
  // A jump there is an open input rather than too much gain.
  out.advice = AdviceFor(CodeOf(g.kind), name);
  out.start_s = g.start_s;
  out.end_s = g.end_s;
  out.lower_bound = g.bound || g.kind == Kind::kFlatTop;
  if (g.kind == Kind::kStep) {
    // The zeros on both sides were seen; a tenth of the jump is left open.
    out.effect_n = 0.2 * std::abs(g.step_n);
  } else if (!out.lower_bound) {
    out.effect_n = g.effect_n;
  }
  return out;
}

}  // namespace

std::vector<Reason> ChannelReasons(const Rig& rig, const Mended& mended,
                                   const MeasuredBite& bite,
                                   const PeakEstimate& peak) {
  std::vector<Reason> out;
  for (const Group& g : GroupsOf(mended, bite, peak)) {
    out.push_back(ReasonFrom(g, rig, bite.series.period_s));
  }
  return out;
}

std::optional<Reason> OddGrip(const Rig& rig, const ForceModel& model,
                              const std::vector<double>& p, const Bite& bite) {
  if (p.size() < 2) return std::nullopt;
  double total = 0.0;
  for (const double x : p) total += x;
  if (total <= model.estimator.floor_n) return std::nullopt;
  const ChannelMap* map =
      model.calibration && model.calibration->channel_map.Predicts()
          ? &model.calibration->channel_map
          : nullptr;
  std::size_t worst = 0;
  double most = 0.0;  // times its limit
  double off = 0.0;
  for (std::size_t c = 0; c < p.size(); ++c) {
    const double e =
        map != nullptr ? p[c] - map->Predict(c, p) : std::min(p[c], 0.0);
    const double limit =
        total *
        (map != nullptr
             ? std::max(kOddShare, kOddErrors * map->channel[c].relative_sd)
             : kPulledShare);
    if (std::abs(e) / limit <= most) continue;
    most = std::abs(e) / limit;
    worst = c;
    off = e;
  }
  if (most <= 1.0) return std::nullopt;
  Reason out;
  out.code = ReasonCode::kOdd;
  const std::string& name = rig.channels[worst].name;
  out.text =
      map != nullptr
          ? "no single grip gives these channels: " + name + " is off by " +
                InNewtons(off) + " from what the others say of it"
          : name + " is pulled by " + InNewtons(-off) +
                " while the others are pressed: no single grip does that";
  // As large a share of the peak as of the hold.
  out.effect_n = std::abs(off) / total * bite.peak_n.value_or(total);
  out.start_s = bite.start_s;
  out.end_s = bite.end_s;
  out.advice = AdviceFor(out.code);
  return out;
}

}  // namespace masseter
