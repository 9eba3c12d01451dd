#include "core/trust/evidence.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <span>

#include "core/metrology/place_area.h"
#include "core/trust/advice.h"
#include "core/trust/budget.h"
#include "core/trust/channel_evidence.h"
#include "core/trust/missing.h"
#include "core/trust/words.h"

namespace masseter {
namespace {

constexpr double kSlowLoss = 0.02;
constexpr double kEdgeMarginMm = 12.0;
// Beyond the margin a place is extrapolated: 1 % for every 10 mm (common
// practice: what a shell takes grows from nothing to a few per cent over the
// half-width of a sleeve).
constexpr double kEdgePerMm = 0.001;
constexpr double kPlaceMatters = 0.01;
constexpr double kMotionMatters = 0.02;
// A clock of whole ticks, one a sample, scatters by half of this.
constexpr double kUnsteady = 0.8;

class Collector {
 public:
  Collector(const Rig& rig, const ForceModel& model, const SampleWindow& window,
            const EventContext& context, const MeasuredBite& bite,
            const PeakEstimate& peak, const Mended* mended)
      : rig_(rig),
        model_(model),
        window_(window),
        context_(context),
        bite_(bite),
        peak_(peak),
        mended_(mended) {}

  std::vector<Reason> Collect() {
    reasons_ = MissingSamples(context_.event, bite_, model_.range_n,
                              model_.in_newtons);
    Supply();
    Channels();
    Glitches();
    Rails();
    Overload();
    Zero();
    Slow();
    Edge();
    Odd();
    Clock();
    Motion();
    PlaceUnseen();
    Uncalibrated();
    for (Reason& reason : reasons_) {
      if (reason.advice.empty()) reason.advice = AdviceFor(reason.code);
    }
    return std::move(reasons_);
  }

 private:
  const Bite& bite() const { return bite_.bite; }
  double peak() const { return peak_.force_n; }

  std::span<const double> SignalsOfBite(std::size_t channel) const {
    return window_.Signals(channel, bite().first_row, bite().last_row + 1);
  }
  double TimeInBite(std::size_t i) const {
    return window_.Time(bite().first_row + i);
  }

  void Add(ReasonCode code, std::string text, std::optional<double> effect_n) {
    reasons_.push_back({code, std::move(text), effect_n, bite().start_s,
                        bite().end_s, "", false});
  }

  void Supply() {
    if (!rig_.supply_minimum_mv || !window_.has_supply()) return;
    // The middle of three: one low figure alone is a line that was cut short.
    double lowest = std::numeric_limits<double>::infinity();
    for (auto r = bite().first_row + 1; r < bite().last_row; ++r) {
      const double a = window_.Supply(r - 1);
      const double b = window_.Supply(r);
      const double c = window_.Supply(r + 1);
      lowest = std::min(lowest,
                        std::max(std::min(a, b), std::min(std::max(a, b), c)));
    }
    if (lowest >= *rig_.supply_minimum_mv) return;
    Add(ReasonCode::kSag,
        "the supply fell to " + std::to_string(std::lround(lowest)) +
            " mV, below its minimum of " +
            std::to_string(std::lround(*rig_.supply_minimum_mv)) + " mV",
        std::nullopt);
  }

  void Glitches() {
    if (context_.spikes == nullptr) return;
    int count = 0;
    double doubt = 0.0;
    for (const Spike& spike : *context_.spikes) {
      if (spike.row < bite().first_row || spike.row > bite().last_row) continue;
      if (WithinLoose(spike)) continue;
      ++count;
      doubt = std::max(doubt, spike.doubt_n);
    }
    if (count == 0) return;
    Add(ReasonCode::kGlitch,
        std::to_string(count) +
            (count == 1 ? " impossible value was" : " impossible values were") +
            " replaced by the mean of the samples around",
        doubt);
  }

  // A loose channel's wild samples are told as that.
  bool WithinLoose(const Spike& spike) const {
    if (mended_ == nullptr) return false;
    for (const MendedFault& m : mended_->faults) {
      const std::uint64_t first = mended_->first_row + m.fault.begin;
      const std::uint64_t end = mended_->first_row + m.fault.end;
      if (m.fault.kind == ChannelFault::Kind::kLoose &&
          m.fault.channel == spike.channel && spike.row + 3 > first &&
          spike.row < end + 3) {
        return true;
      }
    }
    return false;
  }

  void Rails() {
    for (std::size_t c = 0; c < rig_.channels.size(); ++c) {
      const Channel& channel = rig_.channels[c];
      if (!channel.adc_max || !channel.adc_min) continue;
      std::uint64_t first = 0;
      std::uint64_t count = 0;
      const auto x = SignalsOfBite(c);
      for (std::size_t i = 0; i < x.size(); ++i) {
        if (x[i] < *channel.adc_max && x[i] > *channel.adc_min) continue;
        if (count++ == 0) first = bite().first_row + i;
      }
      if (count == 0) continue;
      Add(ReasonCode::kRail,
          channel.name + " stood at the end of its converter's scale for " +
              InMilliseconds(static_cast<double>(count) * context_.period_s) +
              "; the true force is higher",
          std::nullopt);
      reasons_.back().start_s = window_.Time(first);
      reasons_.back().advice = AdviceFor(ReasonCode::kRail, channel.name);
    }
  }

  void Overload() {
    if (!model_.calibration) return;
    for (std::size_t c = 0; c < rig_.channels.size(); ++c) {
      if (!rig_.channels[c].capacity) continue;
      const double capacity = rig_.channels[c].capacity->si();
      double most = 0.0;
      const auto x = SignalsOfBite(c);
      for (std::size_t i = 0; i < x.size(); ++i) {
        most = std::max(most,
                        model_.estimator.gain[c] *
                            (x[i] - ZeroAt(context_.zeros, c, TimeInBite(i))));
      }
      if (most <= capacity) continue;
      Add(ReasonCode::kOverload,
          rig_.channels[c].name + " carried " + InNewtons(most) +
              ", more than its capacity of " + InNewtons(capacity),
          std::nullopt);
      reasons_.back().advice =
          AdviceFor(ReasonCode::kOverload, rig_.channels[c].name);
    }
  }

  void Zero() {
    std::vector<double> v(model_.estimator.channels());
    const auto row = bite_.series.first_row + peak_.index;
    for (std::size_t c = 0; c < v.size(); ++c) {
      v[c] =
          window_.Signal(c, row) - ZeroAt(context_.zeros, c, window_.Time(row));
    }
    const double moved = std::abs(ZeroChangeN(model_, context_, v));
    if (moved <= ZeroLimitN(context_, peak())) return;
    Add(ReasonCode::kZero,
        "the zero moved by " +
            (model_.in_newtons ? InNewtons(moved) : std::string("a lot")) +
            " during the bite",
        moved);
  }

  void Slow() {
    if (peak_.blind) {
      Add(ReasonCode::kSlow,
          "sampled every " + InMilliseconds(context_.period_s) +
              ": a strike may pass between two samples; the true peak may be "
              "higher",
          std::nullopt);
      reasons_.back().lower_bound = true;
      return;
    }
    if (peak_.sampling_loss <= kSlowLoss) return;
    const double effect = peak() * std::min(peak_.sampling_loss, 1.0);
    Add(ReasonCode::kSlow,
        "sampled every " + InMilliseconds(context_.period_s) +
            ", too slowly for this rise: up to " +
            InPercent(std::min(peak_.sampling_loss, 1.0)) +
            " of the peak may be missing",
        effect / 2.0);
  }

  void Edge() {
    if (!model_.calibration || !bite().x_mm) return;
    const double beyond =
        DistanceToHull(model_.calibration->area, {*bite().x_mm, *bite().y_mm}) -
        kEdgeMarginMm;
    if (beyond <= 0.0 || model_.calibration->area.size() < 3) return;
    Add(ReasonCode::kEdge,
        "gripped " + InMillimetres(beyond + kEdgeMarginMm) +
            " outside the calibrated area",
        peak() * kEdgePerMm * (beyond + kEdgeMarginMm));
  }

  void Channels() {
    if (mended_ == nullptr) return;
    for (Reason& reason : ChannelReasons(rig_, *mended_, bite_, peak_)) {
      reasons_.push_back(std::move(reason));
    }
  }

  // Mean signals over the samples above half the peak.
  void Odd() {
    const ForceSeries& s = bite_.series;
    std::vector<double> p(model_.estimator.channels(), 0.0);
    double n = 0.0;
    for (std::size_t i = bite_.span.begin; i < bite_.span.end; ++i) {
      if (s.filtered_n[i] <= 0.5 * peak()) continue;
      for (std::size_t c = 0; c < p.size(); ++c) {
        p[c] +=
            model_.estimator.gain[c] * (window_.Signal(c, s.first_row + i) -
                                        ZeroAt(context_.zeros, c, s.t_s[i]));
      }
      n += 1.0;
    }
    if (n == 0.0) return;
    for (double& x : p) x /= n;
    if (auto odd = OddGrip(rig_, model_, p, bite())) {
      reasons_.push_back(std::move(*odd));
    }
  }

  // Filter and parabola take samples for evenly spaced; one that is displaced
  // by d on a crest of width T errs by 1 - cos(pi d / T).
  void Clock() {
    const ForceSeries& s = bite_.series;
    double sum = 0.0;
    double squares = 0.0;
    double n = 0.0;
    for (std::size_t i = bite_.span.begin + 1; i < bite_.span.end; ++i) {
      if (s.before[i] != Break::kNone) continue;
      const double off = s.t_s[i] - s.t_s[i - 1] - context_.period_s;
      sum += off;
      squares += off * off;
      n += 1.0;
    }
    if (n < 8.0) return;
    const double mean = sum / n;
    const double scatter = std::sqrt(std::max(squares / n - mean * mean, 0.0));
    if (scatter < kUnsteady * context_.period_s) return;
    const double part =
        peak_.width_s > 0.0 ? std::min(scatter / peak_.width_s, 0.5) : 0.0;
    Add(ReasonCode::kClock,
        "the samples come unevenly: their steps scatter by " +
            InPercent(scatter / context_.period_s) + " of the period",
        peak() * (1.0 - std::cos(std::numbers::pi * part)));
  }

  // In the interval already; told when it is what the interval is wide by.
  void Motion() {
    const double open = 1.96 * peak_.inertia_u_n;
    if (open <= kMotionMatters * peak()) return;
    Add(ReasonCode::kMotion,
        "the sleeve moved by " + InGravities(peak_.moved_g) +
            " at the peak; what its own mass adds is known to " +
            InNewtons(open),
        open);
  }

  void PlaceUnseen() {
    if (!model_.calibration || model_.calibration->place_seen) return;
    const double u = model_.calibration->relative_standard_u;
    if (u < kPlaceMatters && model_.estimator.channels() > 1) return;
    Add(ReasonCode::kPlace,
        model_.estimator.channels() == 1
            ? "one cell cannot see where it was gripped, and the place "
              "changes the answer"
            : "without the cells' places it cannot be seen where it was "
              "gripped",
        1.96 * u * peak());
  }

  void Uncalibrated() {
    if (model_.calibration) return;
    Add(ReasonCode::kUncalibrated,
        model_.in_newtons
            ? "no calibration: the channels' own newtons are added up, and "
              "nobody knows how sure they are"
            : "no calibration: counts are not newtons",
        std::nullopt);
  }

  const Rig& rig_;
  const ForceModel& model_;
  const SampleWindow& window_;
  const EventContext& context_;
  const MeasuredBite& bite_;
  const PeakEstimate& peak_;
  const Mended* mended_;
  std::vector<Reason> reasons_;
};

}  // namespace

std::vector<Reason> CollectEvidence(const Rig& rig, const ForceModel& model,
                                    const SampleWindow& window,
                                    const EventContext& context,
                                    const MeasuredBite& bite,
                                    const PeakEstimate& peak,
                                    const Mended* mended) {
  return Collector(rig, model, window, context, bite, peak, mended).Collect();
}

}  // namespace masseter
