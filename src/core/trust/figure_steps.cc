#include "core/trust/figure_steps.h"

#include <algorithm>
#include <limits>
#include <optional>
#include <vector>

#include "core/bite/measure.h"
#include "core/trust/mend.h"

namespace masseter {
namespace {

class Stepper {
 public:
  Stepper(const ForceModel& model, const SampleWindow& repaired,
          const EventContext& context, const MeasuredBite& bite)
      : model_(model),
        raw_(context.raw != nullptr ? *context.raw : repaired),
        repaired_(repaired),
        context_(context),
        first_(bite.bite.first_row),
        last_(bite.bite.last_row),
        use_repaired_(model.estimator.channels(), 0) {
    const auto& c = model.calibration;
    if (c && c->single_factor && c->place_seen) {
      factor_ = c->single_factor->n_per_unit;
    }
  }

  void Repair(std::size_t channel) { use_repaired_[channel] = 1; }
  void DropSpikes() { spikes_ = false; }
  void FollowZero() { follow_zero_ = true; }
  void UseMap() { factor_ = 0.0; }

  // Highest sample of the bite with what is switched on by now.
  double Highest() const {
    double most = -std::numeric_limits<double>::infinity();
    std::vector<double> v(use_repaired_.size());
    for (std::uint64_t row = first_; row <= last_; ++row) {
      for (std::size_t c = 0; c < v.size(); ++c) v[c] = Signal(c, row);
      most = std::max(most, Force(v));
    }
    return most;
  }

 private:
  double Signal(std::size_t c, std::uint64_t row) const {
    const SampleWindow& w = use_repaired_[c] != 0 ? repaired_ : raw_;
    double v = w.Signal(c, row);
    if (spikes_ && context_.spikes != nullptr && use_repaired_[c] == 0) {
      for (const Spike& s : *context_.spikes) {
        if (s.row == row && s.channel == c) v += s.off;
      }
    }
    return v - (follow_zero_ ? ZeroAt(context_.zeros, c, w.Time(row))
                             : context_.zeros.before.value[c]);
  }
  double Force(const std::vector<double>& v) const {
    if (factor_ == 0.0) return model_.estimator.Force(v);
    double sum = 0.0;
    for (std::size_t c = 0; c < v.size(); ++c) {
      sum += model_.estimator.gain[c] < 0.0 ? -v[c] : v[c];
    }
    return factor_ * sum;
  }

  const ForceModel& model_;
  const SampleWindow& raw_;
  const SampleWindow& repaired_;
  const EventContext& context_;
  std::uint64_t first_;
  std::uint64_t last_;
  std::vector<char> use_repaired_;
  bool spikes_ = true;
  bool follow_zero_ = false;
  double factor_ = 0.0;  // 0: the estimator
};

ReasonCode CodeOf(ChannelFault::Kind kind) {
  switch (kind) {
    case ChannelFault::Kind::kStuck:
      return ReasonCode::kStuck;
    case ChannelFault::Kind::kFlatTop:
      return ReasonCode::kRail;
    case ChannelFault::Kind::kLoose:
      return ReasonCode::kLoose;
    case ChannelFault::Kind::kGlitch:
      return ReasonCode::kGlitch;
    case ChannelFault::Kind::kStep:
      return ReasonCode::kZero;
  }
  return ReasonCode::kLoose;
}

// What is wrong with a channel for longest; nullopt when nothing is.
std::optional<ReasonCode> WorstOf(const Mended& mended, std::size_t channel) {
  std::size_t longest = 0;
  std::optional<ReasonCode> out;
  for (const MendedFault& m : mended.faults) {
    const std::size_t length = m.fault.end - m.fault.begin;
    if (m.fault.channel != channel || length < longest) continue;
    longest = length;
    out = m.fault.at_end ? ReasonCode::kRail : CodeOf(m.fault.kind);
  }
  return out;
}

// The channel whose spikes within the bite are told as glitches; -1 for none.
int SpikedChannel(const EventContext& context, const Bite& bite) {
  if (context.spikes == nullptr) return -1;
  for (const Spike& s : *context.spikes) {
    if (s.row >= bite.first_row && s.row <= bite.last_row) {
      return static_cast<int>(s.channel);
    }
  }
  return -1;
}

}  // namespace

FigureSteps StepsOf(const Rig& rig, const ForceModel& model,
                    const SampleWindow& window, const EventContext& context,
                    const Mended* mended, const MeasuredBite& bite) {
  Stepper stepper(model, window, context, bite);
  FigureSteps out;
  out.as_read_n = stepper.Highest();
  double now = out.as_read_n;
  const auto step = [&] {
    const double then = now;
    now = stepper.Highest();
    return now - then;
  };
  if (const int c = SpikedChannel(context, bite.bite); c >= 0) {
    stepper.DropSpikes();
    out.faults.push_back({ReasonCode::kGlitch,
                          rig.channels[static_cast<std::size_t>(c)].name,
                          step()});
  }
  for (std::size_t c = 0; mended != nullptr && c < rig.channels.size(); ++c) {
    const auto code = WorstOf(*mended, c);
    if (!code) continue;
    stepper.Repair(c);
    const double change = step();
    if (*code == ReasonCode::kZero) {
      out.zero_n += change;
    } else {
      out.faults.push_back({*code, rig.channels[c].name, change});
    }
  }
  stepper.FollowZero();
  out.zero_n += step();
  stepper.UseMap();
  out.place_n = step();
  out.crest_n = bite.bite.peak_n.value_or(now) - now;
  return out;
}

}  // namespace masseter
