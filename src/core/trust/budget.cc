#include "core/trust/budget.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/signal/half_sine.h"
#include "core/trust/dynamics_line.h"

namespace masseter {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kCoverage = 0.95;
constexpr double kShiftShown = 0.05;  // of the half-width
constexpr double kZeroShare = 0.02;
constexpr double kMostBeyondRange = 0.015;
// No quiet stretch after the bite: the zero may have moved by 0.3 % of the
// force, as creep and a slow cover do (common practice).
constexpr double kUnseenZero = 0.003;
// Weights rest for seconds, a bite does not: what a padded sleeve and its
// cells creep meanwhile is in the calibration and not in the bite. Half-width
// 0.5 % of the force, rectangular (common practice for homemade sleeves).
constexpr double kCreep = 0.005;

double BeyondRange(const Calibration& calibration, double force_n) {
  if (calibration.force_high_n <= 0.0) return kMostBeyondRange;
  const double excess = force_n / calibration.force_high_n - 1.0;
  return std::clamp(calibration.beyond_range * excess, 0.0, kMostBeyondRange);
}

// Half-width of the 95 % interval of the lines together.
double Expanded(const std::vector<BudgetLine>& lines) {
  const CombinedUncertainty u = CombineLines(lines);
  return CoverageFactor(kCoverage, u.dof) * u.standard_uncertainty;
}

std::vector<BudgetLine> WithoutLosses(std::vector<BudgetLine> lines) {
  std::erase_if(lines, [](const BudgetLine& line) {
    return ShapeOf(line.distribution) == TermShape::kOneSided;
  });
  return lines;
}

BudgetLine ZeroLine(const ForceModel& model, const EventContext& context,
                    const std::vector<double>& signals, double force_n) {
  const int frames = std::max(1, context.zeros.before.frames);
  // The median's standard error is 1.253 times the mean's for normal noise.
  const double scatter =
      1.253 * context.frame_noise_n / std::sqrt(static_cast<double>(frames));
  const double moved =
      context.zeros.after
          ? std::abs(ZeroChangeN(model, context, signals)) / std::sqrt(3.0)
          : kUnseenZero * force_n / std::sqrt(3.0);
  return {"zero", std::hypot(scatter, moved), kInfinity, "rectangular"};
}

}  // namespace

CombinedUncertainty CombineLines(const std::vector<BudgetLine>& lines) {
  std::vector<UncertaintyTerm> terms;
  for (const BudgetLine& line : lines) {
    terms.push_back({line.standard_uncertainty_n, line.degrees_of_freedom});
  }
  return CombineUncertainties(terms);
}

bool Lopsided(const std::vector<BudgetLine>& lines) {
  double shift = 0.0;  // of a rectangle on [0, sqrt(3) u]: half its width
  for (const BudgetLine& line : lines) {
    if (ShapeOf(line.distribution) != TermShape::kOneSided) continue;
    shift += 0.5 * std::sqrt(3.0) * line.standard_uncertainty_n;
  }
  return shift > kShiftShown * Expanded(lines);
}

void SetPeakInterval(Bite& bite) {
  bite.peak_u95_n.reset();
  bite.peak_lo_n.reset();
  bite.peak_hi_n.reset();
  const std::vector<BudgetLine>& lines = bite.budget;
  if (lines.empty() || !bite.peak_n) return;
  bite.peak_u95_n = Expanded(lines);
  if (!Lopsided(lines)) return;
  const Propagation drawn = PropagateBudget(bite);
  const double peak = *bite.peak_n;
  bite.peak_lo_n = peak + std::min(drawn.low, -Expanded(WithoutLosses(lines)));
  bite.peak_hi_n = peak + drawn.high;
  bite.peak_u95_n = 0.5 * (*bite.peak_hi_n - *bite.peak_lo_n);
}

Propagation PropagateBudget(const Bite& bite) {
  PropagationOptions options;
  options.coverage = kCoverage;
  options.seed = bite.first_row;
  return Propagate(TermsOf(bite.budget), options);
}

double ZeroChangeN(const ForceModel& model, const EventContext& context,
                   const std::vector<double>& signals_at_peak) {
  if (!context.zeros.after) return 0.0;
  const auto slope = model.estimator.Sensitivity(signals_at_peak);
  double change = 0.0;
  for (std::size_t c = 0; c < slope.size(); ++c) {
    change += slope[c] *
              (context.zeros.after->value[c] - context.zeros.before.value[c]);
  }
  return change;
}

double ZeroLimitN(const EventContext& context, double peak_n) {
  return std::max(kZeroShare * peak_n, 0.5 * context.limits.on_n);
}

void FillBudget(const Rig& rig, const ForceModel& model,
                const EventContext& context, const PeakEstimate& peak,
                const std::vector<double>& signals_at_peak, Bite& bite) {
  if (!model.calibration) return;
  const Calibration& calibration = *model.calibration;
  const double f = peak.force_n;
  std::vector<BudgetLine>& lines = bite.budget;
  lines.push_back({"calibration", f * calibration.relative_standard_u,
                   kInfinity, "normal", f});
  const double beyond = BeyondRange(calibration, f);
  if (beyond > 0.0) {
    lines.push_back({"range", f * beyond, kInfinity, "normal", f});
  }
  const BudgetLine friction{"friction", calibration.absolute_standard_u_n,
                            kInfinity, "normal"};
  lines.push_back(friction);
  const double creep = kCreep / std::sqrt(3.0);
  lines.push_back({"creep", f * creep, kInfinity, "rectangular", f});
  const BudgetLine zero = ZeroLine(model, context, signals_at_peak, f);
  lines.push_back(zero);
  lines.push_back({"noise", peak.noise_u_n, kInfinity, "normal"});
  lines.push_back({"crest", peak.shape_u_n, kInfinity, "rectangular"});
  const double sampling =
      std::max(f * peak.sampling_loss / 3.0, peak.kink_n / std::sqrt(3.0));
  lines.push_back({"sampling", sampling, kInfinity, "one-sided", f});
  if (rig.bandwidth_hz && peak.width_s > 0.0) {
    const double loss =
        OnePoleLoss(peak.width_s, TimeConstant(*rig.bandwidth_hz));
    lines.push_back(
        {"bandwidth", f * loss / std::sqrt(3.0), kInfinity, "one-sided", f});
  }
  if (peak.inertia_u_n > 0.0) {
    lines.push_back({"inertia", peak.inertia_u_n, kInfinity, "normal"});
  }
  if (calibration.ringing) {
    lines.push_back(
        DynamicsLine(*calibration.ringing, context.period_s, peak, bite));
  }
  SetPeakInterval(bite);
  if (bite.squeeze_n) {
    const double q = *bite.squeeze_n;
    const double relative = std::hypot(calibration.relative_standard_u,
                                       BeyondRange(calibration, q));
    const std::vector<BudgetLine> squeeze = {
        {"calibration", q * relative, kInfinity, "normal"},
        friction,
        {"creep", q * creep, kInfinity, "rectangular"},
        zero};
    bite.squeeze_u95_n = Expanded(squeeze);
  }
}

}  // namespace masseter
