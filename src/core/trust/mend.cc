#include "core/trust/mend.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace masseter {
namespace {

using Kind = ChannelFault::Kind;

constexpr double kMapLeast = 0.01;
constexpr double kBriefS = 0.1;
constexpr double kBriefShare = 0.02;
constexpr double kBiteShare = 0.15;
constexpr std::size_t kFlank = 12;
constexpr double kHealthyS = 0.03;

// How far the channel is off what the others say, on one side of the fault.
struct Side {
  double ratio = 0.0;  // to the others' sum
  double off_n = 0.0;  // from the map or from `ratio`
  double samples = 0.0;
  bool loaded = false;
};

class Mender {
 public:
  Mender(const ForceModel& model, const SampleWindow& window,
         const EventContext& context, const ChannelTraces& traces,
         const std::vector<ChannelFault>& faults)
      : model_(model),
        context_(context),
        t_(traces),
        bad_(traces.channels(), std::vector<char>(traces.size(), 0)) {
    out_.context = context;
    out_.first_row = traces.first_row;
    out_.window = CopyRows(window, traces);
    out_.doubt_n.assign(traces.size(), 0.0);
    for (const ChannelFault& f : faults) {
      out_.faults.push_back({f, Mending::kNothing});
      if (f.kind == Kind::kStep) continue;
      for (std::size_t i = f.begin; i < f.end; ++i) bad_[f.channel][i] = 1;
    }
  }

  Mended Mend() {
    // Steps first: what the others say afterwards counts with them taken out.
    for (MendedFault& f : out_.faults) {
      if (f.fault.kind == Kind::kStep) TakeOutStep(f);
    }
    for (MendedFault& f : out_.faults) {
      if (f.fault.kind == Kind::kStep || f.fault.kind == Kind::kFlatTop) {
        continue;
      }
      Replace(f);
    }
    out_.context.spikes = context_.spikes;
    SettleHighest();
    return std::move(out_);
  }

 private:
  static SampleWindow CopyRows(const SampleWindow& w, const ChannelTraces& t) {
    SampleWindow out;
    SampleBlock& b = out.block();
    b.first_row = t.first_row;
    b.channel.resize(t.channels());
    for (std::size_t i = 0; i < t.size(); ++i) {
      const std::uint64_t row = t.first_row + i;
      b.t_s.push_back(w.Time(row));
      b.before.push_back(w.Before(row));
      if (w.has_supply()) b.supply_mv.push_back(w.Supply(row));
      if (!w.has_acceleration()) continue;
      const auto a = w.AccelerationAt(row);
      for (std::size_t k = 0; k < a.size(); ++k) b.accel_g[k].push_back(a[k]);
    }
    for (std::size_t c = 0; c < t.channels(); ++c) b.channel[c] = t.raw[c];
    return out;
  }

  void SetNewtons(std::size_t c, std::size_t i, double p) {
    t_.total[i] += p - t_.p[c][i];
    t_.p[c][i] = p;
    out_.window.SetSignal(
        c, t_.first_row + i,
        context_.zeros.before.value[c] + p / model_.estimator.gain[c]);
  }

  void TakeOutStep(MendedFault& f) {
    const std::size_t c = f.fault.channel;
    for (std::size_t i = f.fault.begin; i < f.fault.end; ++i) {
      SetNewtons(c, i, t_.p[c][i] - f.fault.step_n);
    }
    ForgetZeroAfter(c);
    f.mending = Mending::kStepped;
  }

  // The zero after tells of the fault, not of the channel.
  void ForgetZeroAfter(std::size_t c) {
    if (!out_.context.zeros.after) return;
    out_.context.zeros.after->value[c] = context_.zeros.before.value[c];
  }

  bool Mapped() const {
    return model_.calibration && model_.calibration->channel_map.Predicts();
  }
  bool OthersGood(std::size_t c, std::size_t begin, std::size_t end) const {
    for (std::size_t k = 0; k < t_.channels(); ++k) {
      if (k == c) continue;
      for (std::size_t i = begin; i < end; ++i) {
        if (bad_[k][i] != 0) return false;
      }
    }
    return true;
  }

  // Healthy samples before (`step` -1) or after (+1) the fault.
  Side LookAside(std::size_t c, std::size_t from, int step,
                 std::size_t most) const {
    Side side;
    double own = 0.0;
    double others = 0.0;
    double off = 0.0;
    for (std::size_t i = from;
         i < t_.size() && side.samples < static_cast<double>(most);
         i += static_cast<std::size_t>(step)) {
      if (bad_[c][i] != 0 || t_.fresh[i] != 0) break;
      own += t_.p[c][i];
      others += t_.Others(c, i);
      if (Mapped()) off += t_.p[c][i] - FromOthers(model_, t_, c, i, 0.0);
      side.samples += 1.0;
    }
    if (side.samples == 0.0) return side;
    side.loaded = others / side.samples > t_.loaded_n[c];
    side.ratio = side.loaded ? own / others : 0.0;
    side.off_n = off / side.samples;
    return side;
  }

  void Replace(MendedFault& f) {
    const ChannelFault& fault = f.fault;
    const std::size_t c = fault.channel;
    const double length =
        static_cast<double>(fault.end - fault.begin) * context_.period_s;
    if (fault.end == t_.size() || length > kBriefS) ForgetZeroAfter(c);
    const bool good = OthersGood(c, fault.begin, fault.end);
    const auto flank = std::max<std::size_t>(
        2, std::min<std::size_t>(
               kFlank, static_cast<std::size_t>(0.012 / context_.period_s)));
    const Side before =
        fault.begin > 0 ? LookAside(c, fault.begin - 1, -1, flank) : Side{};
    const Side after = LookAside(c, fault.end, +1, flank);
    if (t_.channels() == 1) {
      Straight(f);
    } else if (good && length <= kBriefS && before.samples > 0.0 &&
               after.samples > 0.0) {
      Between(f, before, after);
    } else if (good && Mapped()) {
      FromMap(f);
    } else if (good) {
      FromBite(f);
    } else {
      Bound(f);
    }
  }

  // One cell: a straight line between the healthy samples on both sides, or
  // level with the only one there is. A cell frozen since before the bite has
  // said its rest, which stands.
  void Straight(MendedFault& f) {
    const ChannelFault& fault = f.fault;
    const bool left = fault.begin > 0;
    const bool right = fault.end < t_.size();
    if (!left && !right) return Bound(f);
    const bool rest = !left && fault.kind == Kind::kStuck;
    const double high = t_.p[0][right ? fault.end : fault.begin - 1];
    const double low = left ? t_.p[0][fault.begin - 1] : high;
    const double larger = std::max(std::abs(low), std::abs(high));
    const auto steps = static_cast<double>(fault.end - fault.begin + 1);
    const double share =
        kBiteShare * std::min(1.0, 10.0 * steps * context_.period_s);
    for (std::size_t i = fault.begin; i < fault.end; ++i) {
      const double part = static_cast<double>(i - fault.begin + 1) / steps;
      if (!rest) SetNewtons(0, i, low + part * (high - low));
      out_.doubt_n[i] = 0.5 * std::abs(high - low) + share * larger;
    }
    // For longer a dog may have done anything.
    const bool loose = fault.kind == Kind::kLoose;
    const bool brief = (steps - 1.0) * context_.period_s <= kBriefS;
    f.mending = loose && !brief ? Mending::kBound : Mending::kFromBite;
  }

  // Brief: what the others say, moved to meet the channel on both sides.
  void Between(MendedFault& f, const Side& before, const Side& after) {
    const std::size_t c = f.fault.channel;
    const double usual = t_.ratio[c];
    const double r1 = before.loaded  ? before.ratio
                      : after.loaded ? after.ratio
                                     : usual;
    const double r2 = after.loaded ? after.ratio : r1;
    const auto n = static_cast<double>(f.fault.end - f.fault.begin + 1);
    for (std::size_t i = f.fault.begin; i < f.fault.end; ++i) {
      const double part = static_cast<double>(i - f.fault.begin + 1) / n;
      const double others = t_.Others(c, i);
      double p = (r1 + part * (r2 - r1)) * others;
      double apart = 0.5 * std::abs(r2 - r1) * std::abs(others);
      if (Mapped()) {
        p = FromOthers(model_, t_, c, i, 0.0) + before.off_n +
            part * (after.off_n - before.off_n);
        apart = 0.5 * std::abs(after.off_n - before.off_n);
      }
      SetNewtons(c, i, p);
      // One sample among healthy ones leaves little open.
      const double share = f.fault.end - f.fault.begin <= 2 ? 0.5 : 1.0;
      out_.doubt_n[i] = apart + share * kBriefShare * std::abs(t_.total[i]) +
                        2.0 * t_.noise_n[c];
    }
    f.mending = Mapped() ? Mending::kFromMap : Mending::kFromBite;
  }

  void FromMap(MendedFault& f) {
    const std::size_t c = f.fault.channel;
    const ChannelPrediction& one = model_.calibration->channel_map.channel[c];
    const double share = std::max(kMapLeast, 2.0 * one.relative_sd);
    for (std::size_t i = f.fault.begin; i < f.fault.end; ++i) {
      SetNewtons(c, i, FromOthers(model_, t_, c, i, 0.0));
      out_.doubt_n[i] = share * std::abs(t_.total[i]) + 2.0 * t_.noise_n[c];
    }
    f.mending = Mending::kFromMap;
  }

  // The channel's share in all healthy loaded samples within reach.
  void FromBite(MendedFault& f) {
    const std::size_t c = f.fault.channel;
    double own = 0.0;
    double others = 0.0;
    double samples = 0.0;
    for (std::size_t i = 0; i < t_.size(); ++i) {
      if (bad_[c][i] != 0 || t_.Others(c, i) < t_.loaded_n[c] ||
          !OthersGood(c, i, i + 1)) {
        continue;
      }
      own += t_.p[c][i];
      others += t_.Others(c, i);
      samples += 1.0;
    }
    if (samples * context_.period_s < kHealthyS || others <= 0.0) {
      Bound(f);
      return;
    }
    for (std::size_t i = f.fault.begin; i < f.fault.end; ++i) {
      SetNewtons(c, i, own / others * t_.Others(c, i));
      out_.doubt_n[i] = kBiteShare * std::abs(t_.total[i]);
    }
    f.mending = Mending::kFromBite;
  }

  // Without the channel, and not more than the bench ever showed for that.
  void Bound(MendedFault& f) {
    const std::size_t c = f.fault.channel;
    const std::size_t m = t_.channels();
    double lowest = 0.0;
    double factor = 1.0;
    if (model_.calibration && !model_.calibration->channel_map.empty()) {
      lowest = std::min(0.0, model_.calibration->channel_map.lowest_ratio[c]);
      factor =
          std::min(1.0, model_.calibration->channel_map.lowest_force_ratio);
    }
    for (std::size_t i = f.fault.begin; i < f.fault.end; ++i) {
      double others = 0.0;
      for (std::size_t k = 0; k < m; ++k) {
        if (bad_[k][i] == 0) others += t_.p[k][i];
      }
      for (std::size_t k = 0; k < m; ++k) {
        if (bad_[k][i] != 0) SetNewtons(k, i, k == c ? lowest * others : 0.0);
      }
      if (others <= model_.estimator.floor_n) continue;
      // The estimator scales with the load: make it say the bound.
      std::vector<double> v(m);
      for (std::size_t k = 0; k < m; ++k) {
        v[k] = t_.p[k][i] / model_.estimator.gain[k];
      }
      const double says = model_.estimator.Force(v);
      const double bound = factor * t_.total[i];
      if (says < 0.5 * bound) continue;
      for (std::size_t k = 0; k < m; ++k) {
        SetNewtons(k, i, t_.p[k][i] * bound / says);
      }
    }
    f.mending = Mending::kBound;
  }

  void SettleHighest() {
    double most = 0.0;
    const std::uint64_t begin = context_.event.first_row;
    for (std::size_t i = 0; i < t_.size(); ++i) {
      if (t_.first_row + i >= begin) most = std::max(most, t_.total[i]);
    }
    out_.context.event.peak_n = std::min(context_.event.peak_n, most);
  }

  const ForceModel& model_;
  const EventContext& context_;
  ChannelTraces t_;
  std::vector<std::vector<char>> bad_;
  Mended out_;
};

}  // namespace

Mended MendChannels(const ForceModel& model, const SampleWindow& window,
                    const EventContext& context, const ChannelTraces& traces,
                    const std::vector<ChannelFault>& faults) {
  return Mender(model, window, context, traces, faults).Mend();
}

}  // namespace masseter
