#include "core/bite/measure.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include "core/bite/peak.h"
#include "core/trust/budget.h"
#include "core/trust/channel_faults.h"
#include "core/trust/channel_traces.h"
#include "core/trust/evidence.h"
#include "core/trust/mend.h"
#include "core/trust/verdict.h"

namespace masseter {
namespace {

constexpr double kAroundS = 0.5;

// First row at or after `t`, searching outwards from `row`.
std::uint64_t RowBefore(const SampleWindow& w, std::uint64_t row, double t) {
  while (row > w.first_row() && w.Time(row - 1) >= t) --row;
  return row;
}
std::uint64_t RowAfter(const SampleWindow& w, std::uint64_t row, double t) {
  while (row < w.end_row() && w.Time(row) <= t) ++row;
  return row;
}

// Mean step between neighbouring samples of the event, breaks left out: it
// depends on the event's own samples alone, not on what has arrived since.
double PeriodOf(const SampleWindow& w, const EventContext& c) {
  constexpr double kEnoughSteps = 8.0;
  double sum = 0.0;
  double steps = 0.0;
  for (auto r = std::max(c.event.first_row, w.first_row() + 1);
       r < std::min(c.event.end_row, w.end_row()); ++r) {
    if (w.Before(r) != Break::kNone) continue;
    sum += w.Time(r) - w.Time(r - 1);
    steps += 1.0;
  }
  return steps >= kEnoughSteps && sum > 0.0 ? sum / steps : c.period_s;
}

ForceSeries SeriesAround(const ForceModel& model, const SampleWindow& w,
                         const EventContext& c) {
  const std::uint64_t first =
      RowBefore(w, c.event.first_row, c.event.start_s - kAroundS);
  const std::uint64_t last_of_event =
      std::max(c.event.end_row, c.event.first_row + 1) - 1;
  const std::uint64_t end =
      RowAfter(w, last_of_event, w.Time(last_of_event) + kAroundS);
  return MakeForceSeries(w, first, end, model, c.zeros, c.period_s,
                         c.inertia ? &*c.inertia : nullptr);
}

// What the sleeve's motion added to the peak, already taken off.
void TellMotion(const SampleWindow& w, const EventContext& c, std::uint64_t row,
                PeakEstimate& peak) {
  if (!c.inertia) return;
  const AxesG a = w.AccelerationAt(row);
  peak.inertia_n = c.inertia->Force(a);
  peak.inertia_u_n = c.inertia->StandardUncertainty(a);
  peak.moved_g =
      std::hypot(a[0] - c.inertia->rest[0], a[1] - c.inertia->rest[1],
                 a[2] - c.inertia->rest[2]);
}

std::vector<double> SignalsAt(const SampleWindow& w, std::uint64_t row,
                              const ZeroPair& zeros, std::size_t m) {
  std::vector<double> v(m);
  for (std::size_t ch = 0; ch < m; ++ch) {
    v[ch] = w.Signal(ch, row) - ZeroAt(zeros, ch, w.Time(row));
  }
  return v;
}

// Centre of force while held: mean signals over the samples above half the
// peak, so that noise averages before the quotient is taken.
std::optional<Place> GripPlace(const ForceModel& model, const SampleWindow& w,
                               const EventContext& c, const ForceSeries& s,
                               Span span, double peak_n) {
  const std::size_t m = model.estimator.channels();
  std::vector<double> sum(m, 0.0);
  double n = 0.0;
  for (std::size_t i = span.begin; i < span.end; ++i) {
    if (s.filtered_n[i] <= 0.5 * peak_n) continue;
    for (std::size_t ch = 0; ch < m; ++ch) {
      sum[ch] += w.Signal(ch, s.first_row + i) - ZeroAt(c.zeros, ch, s.t_s[i]);
    }
    n += 1.0;
  }
  if (n == 0.0) return std::nullopt;
  for (double& v : sum) v /= n;
  return model.estimator.Centre(sum);
}

void FillShape(MeasuredBite& out) {
  const ForceSeries& s = out.series;
  Bite& bite = out.bite;
  bite.start_s = s.t_s[out.span.begin];
  bite.end_s = s.t_s[out.span.end - 1];
  bite.duration_s = bite.end_s - bite.start_s;
  bite.first_row = s.first_row + out.span.begin;
  bite.last_row = s.first_row + out.span.end - 1;
  bite.strike_n = StrikeOf(s, out.span);
  // The parabola that refines the peak refines the strike it stands in.
  if (bite.peak_at_s <= bite.start_s + 0.20 && bite.peak_n) {
    bite.strike_n = bite.peak_n;
  }
  if (const auto squeeze = SqueezeOf(s, out.span)) {
    bite.squeeze_n = squeeze->force_n;
    out.squeeze_at_s = squeeze->start_s;
  }
  const double peak = bite.peak_n.value_or(0.0);
  bite.held_n = HeldOf(s, out.span, peak);
  bite.impulse_ns = ImpulseOf(s, out.span);
  if (const auto rise = RiseOf(s, out.span, peak, bite.peak_at_s)) {
    bite.rise_s = rise->rise_s;
    bite.loading_rate_n_s = rise->loading_rate_n_s;
  }
  out.regrips_s = RegripsOf(s, out.span);
  bite.regrips = static_cast<int>(out.regrips_s.size());
  const double held = bite.held_n.value_or(0.0);
  if (held > 0.0) {
    bite.shake_hz = ShakeOf(s, out.span, held, out.regrips_s);
    bite.held_cv = HeldCvOf(s, out.span, held, out.regrips_s);
  }
}

// More than the cover and the cells come back by: see ZeroLimit.
bool ZeroMoved(const ForceModel& model, const SampleWindow& window,
               const EventContext& context, const ForceSeries& s) {
  const auto highest = static_cast<std::uint64_t>(
      std::max_element(s.raw_n.begin(), s.raw_n.end()) - s.raw_n.begin());
  const auto v = SignalsAt(window, s.first_row + highest, context.zeros,
                           model.estimator.channels());
  return std::abs(ZeroChangeN(model, context, v)) >
         ZeroLimitN(context, s.raw_n[highest]);
}

// Without newtons the figures are withheld and the bite is void: times and
// rhythm stay.
void WithholdForces(Bite& bite) {
  for (auto* figure :
       {&bite.peak_n, &bite.peak_u95_n, &bite.peak_lo_n, &bite.peak_hi_n,
        &bite.strike_n, &bite.squeeze_n, &bite.squeeze_u95_n, &bite.held_n,
        &bite.impulse_ns, &bite.loading_rate_n_s}) {
    figure->reset();
  }
  for (Reason& reason : bite.reasons) reason.effect_n.reset();
  bite.verdict = Verdict::kVoid;
}

std::optional<MeasuredBite> Measure(const Rig& rig, const ForceModel& model,
                                    const SampleWindow& window,
                                    EventContext context,
                                    const Mended* mended) {
  MeasuredBite out;
  out.event = context.event;
  out.series = SeriesAround(model, window, context);
  if (!context.zeros.moved && ZeroMoved(model, window, context, out.series)) {
    context.zeros.moved = true;
    return Measure(rig, model, window, context, mended);
  }
  const ForceSeries& s = out.series;
  const Span rough{
      static_cast<std::size_t>(context.event.first_row - s.first_row),
      std::min(s.size(),
               static_cast<std::size_t>(std::max(context.event.end_row,
                                                 context.event.first_row + 1) -
                                        s.first_row))};
  const double filtered_noise = context.sample_noise_n * s.filter_noise_gain;
  const double level =
      std::max({5.0 * filtered_noise, 0.01 * context.event.peak_n,
                0.1 * context.limits.on_n});
  out.span = RefineSpan(s, rough, level);
  PeakEstimate peak =
      FindPeak(s, out.span.begin, out.span.end, context.sample_noise_n);
  TellMotion(window, context, s.first_row + peak.index, peak);
  out.peak = peak;
  if (peak.force_n < kWeakestBiteInOn * context.limits.on_n) {
    return std::nullopt;
  }
  Bite& bite = out.bite;
  bite.peak_n = peak.force_n;
  bite.peak_at_s = peak.at_s;
  FillShape(out);
  if (bite.duration_s < kShortestBiteS) return std::nullopt;
  if (model.calibration && model.calibration->place_seen) {
    if (const auto place =
            GripPlace(model, window, context, s, out.span, peak.force_n)) {
      bite.x_mm = place->x_mm;
      bite.y_mm = place->y_mm;
    }
  }
  const auto signals = SignalsAt(window, s.first_row + peak.index,
                                 context.zeros, model.estimator.channels());
  FillBudget(rig, model, context, peak, signals, bite);
  bite.reasons =
      CollectEvidence(rig, model, window, context, out, peak, mended);
  Judge(context, bite);
  if (context.steps) {
    out.steps = StepsOf(rig, model, window, context, mended, out);
  }
  if (!model.in_newtons) WithholdForces(bite);
  return out;
}

}  // namespace

std::optional<MeasuredBite> MeasureBite(const Rig& rig, const ForceModel& model,
                                        const SampleWindow& window,
                                        const EventContext& given) {
  EventContext context = given;
  context.period_s = PeriodOf(window, given);
  context.raw = &window;
  const ChannelTraces traces = TraceChannels(model, window, context);
  const std::vector<ChannelFault> faults =
      FindChannelFaults(rig, model, context, traces);
  if (faults.empty()) return Measure(rig, model, window, context, nullptr);
  const Mended mended = MendChannels(model, window, context, traces, faults);
  return Measure(rig, model, mended.window, mended.context, &mended);
}

}  // namespace masseter
