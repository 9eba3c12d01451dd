#include "core/metrology/calibration.h"

#include <algorithm>
#include <cmath>

#include "core/metrology/bench_doubts.h"
#include "core/metrology/bench_set.h"
#include "core/metrology/calibration_warnings.h"
#include "core/metrology/channel_facts.h"
#include "core/metrology/creep.h"
#include "core/metrology/curve_choice.h"
#include "core/metrology/gravity.h"
#include "core/metrology/iso376.h"
#include "core/metrology/place_area.h"
#include "core/metrology/position_map.h"
#include "core/metrology/reference_budget.h"
#include "core/metrology/relative_terms.h"
#include "core/metrology/temperature_effect.h"
#include "core/metrology/unknown_place.h"

namespace masseter {
namespace {

constexpr std::size_t kFewestLoads = 3;

double SquareOf(const std::optional<double>& term) {
  return term ? *term * *term : 0.0;
}

// One channel: the curve through all loads is the estimator; how its answer
// changes from place to place is left-out error, whole.
LeftOutError SpreadOverPlaces(const BenchSet& bench,
                              const std::vector<double>& answer) {
  const std::size_t n = bench.positions.size();
  std::vector<double> sum(n, 0.0);
  std::vector<double> square(n, 0.0);
  std::vector<double> count(n, 0.0);
  for (std::size_t i = 0; i < bench.loads.size(); ++i) {
    const BenchLoad& load = bench.loads[i];
    const auto p = static_cast<std::size_t>(load.position);
    const double e = answer[i] / load.force_n - 1.0;
    sum[p] += e;
    square[p] += e * e;
    count[p] += 1.0;
  }
  // Leaving a place out moves the common factor away from it by 1/(n - 1).
  const double away = static_cast<double>(n) / (static_cast<double>(n) - 1.0);
  LeftOutError out;
  double total = 0.0;
  double used = 0.0;
  for (std::size_t p = 0; p < n; ++p) {
    if (count[p] == 0.0) {
      out.position.push_back(0.0);
      out.mean.push_back(0.0);
      continue;
    }
    const double mean = sum[p] / count[p];
    const double within = square[p] / count[p] - mean * mean;
    const double ms = mean * mean * away * away + std::max(within, 0.0);
    out.position.push_back(std::sqrt(ms));
    out.mean.push_back(mean * away);
    out.max = std::max(out.max, std::sqrt(ms));
    total += ms;
    used += 1.0;
  }
  out.rms = std::sqrt(total / std::max(used, 1.0));
  return out;
}

Expected<void> FitCurve(const PreparedBench& prepared,
                        const CalibrateOptions& options,
                        const std::string& file, Calibration& out) {
  auto choice = ChooseCurve(prepared.bench, options.curve, options.zero);
  if (!choice) return BadInput(file, choice.error().what);
  out.curve = choice->curve;
  Estimator& e = out.estimator;
  e.form = EstimatorForm::kCurve;
  e.curvature = false;  // the curve has it
  e.curve = choice->curve.b;
  e.gain = {1.0 / (e.curve.size() > 1 ? e.curve[1] : 1.0)};
  e.coeffs = {1.0};
  return {};
}

void FillArea(const BenchSet& bench, Calibration& out) {
  std::vector<Place> centres;
  for (const BenchLoad& load : bench.loads) {
    if (const auto centre = out.estimator.Centre(load.v)) {
      centres.push_back(*centre);
    }
  }
  out.place_seen = !centres.empty();
  out.area = ConvexHull(std::move(centres));
}

void FillUncertainty(Calibration& out) {
  const double place = out.left_out_rms.value_or(kUnknownPlaceU);
  // Left-out errors hold reproducibility, reversibility and interpolation at
  // the places; without them these count one by one.
  double u2 = place * place + SquareOf(out.relative.reference) +
              SquareOf(out.relative.resolution) +
              SquareOf(out.relative.temperature);
  if (!out.left_out_rms) {
    u2 += SquareOf(out.relative.reproducibility) +
          SquareOf(out.relative.interpolation) +
          SquareOf(out.relative.reversibility) / 12.0;
  }
  out.relative_standard_u = std::sqrt(u2);
  out.expanded_relative_u95 = 1.96 * out.relative_standard_u;
}

// Root mean square of the smallest loads' errors in newtons.
double SmallLoadError(const BenchSet& bench, const std::vector<double>& answer,
                      double largest) {
  constexpr double kSmallLoads = 0.2;
  double squares = 0.0;
  double n = 0.0;
  for (std::size_t i = 0; i < bench.loads.size(); ++i) {
    const double force = bench.loads[i].force_n;
    if (force > kSmallLoads * largest) continue;
    squares += (answer[i] - force) * (answer[i] - force);
    n += 1.0;
  }
  return n > 0.0 ? std::sqrt(squares / n) : 0.0;
}

void FillResiduals(const BenchSet& bench, const std::vector<double>& answer,
                   Calibration& out) {
  out.force_low_n = bench.loads.front().force_n;
  for (std::size_t i = 0; i < bench.loads.size(); ++i) {
    const BenchLoad& load = bench.loads[i];
    const Place& place =
        bench.positions[static_cast<std::size_t>(load.position)];
    out.force_low_n = std::min(out.force_low_n, load.force_n);
    out.force_high_n = std::max(out.force_high_n, load.force_n);
    if (load.force_n <= 0.0) continue;
    out.residuals.push_back({load.force_n, answer[i] / load.force_n - 1.0,
                             place.x_mm, place.y_mm, load.rising});
  }
}

// Beyond the calibrated forces nothing was seen: the curvature that the form
// left, or that the readings cannot exclude, goes on growing; 0.1 % for each
// range at least.
double BeyondRange(const PreparedBench& prepared,
                   const std::vector<double>& answer, bool zeroed) {
  constexpr double kLeast = 0.001;
  const auto left =
      zeroed ? CurvatureLeft(prepared, answer) : std::optional<Curvature>();
  return left ? std::max(kLeast, std::hypot(left->value, left->se)) : kLeast;
}

// ISO 376's deflection: what the one channel prints, or the answer of several.
Iso376 Iso(const PreparedBench& prepared, const std::vector<double>& answer,
           bool counts, const Calibration& c) {
  IsoCommon common;
  common.reference_u95 = 2.0 * c.relative.reference.value_or(0.0);
  common.f0 = c.relative.zero_return;
  if (c.creep && c.creep->from_30_to_300_s) {
    common.c = std::abs(*c.creep->from_30_to_300_s);
  }
  if (counts) {
    double square = 0.0;
    for (const double g : c.estimator.gain) square += g * g;
    common.resolution_n = std::sqrt(square);
  }
  if (c.channels.size() > 1) return JudgeIso376(prepared, answer, common);
  std::vector<double> deflection;
  double largest = 0.0;
  for (const BenchLoad& load : prepared.bench.loads) {
    deflection.push_back(load.v.front());
    largest = std::max(largest, std::abs(load.v.front()));
  }
  if (common.f0) common.f0 = prepared.zero_change.front() / largest;
  return JudgeIso376(prepared, deflection, common);
}

// What is known beside the estimator: terms, places, channels, temperature.
void Judge(const Rig& rig, const ReadingsTable& readings,
           const PreparedBench& prepared, const CalibrateOptions& options,
           const std::vector<double>& answer,
           const std::optional<LeftOutError>& left_out, Calibration& out) {
  const bool counts = rig.channels.front().unit == SignalUnit::kCount;
  const BenchSet& bench = prepared.bench;
  out.relative = JudgeLoads(prepared, answer, out.estimator, counts);
  out.reference_budget = ReferenceBudget(readings, options);
  out.relative.reference = ReferenceRelativeU(out.reference_budget);
  out.position_map = MapPositions(bench, left_out);
  out.single_factor =
      TrySingleFactor(bench, out.estimator.gain, out.position_map);
  out.channel_facts = JudgeChannels(rig, prepared, out.estimator,
                                    out.position_map, options.zero);
  out.creep = JudgeCreep(prepared.standing, out.estimator);
  if (out.creep) out.relative.creep = CreepSize(*out.creep);
  if (options.zero) {
    out.temperature = JudgeTemperature(readings, prepared, answer,
                                       out.estimator.gain, out.channel_facts);
  }
  if (out.temperature) {
    out.relative.temperature = TemperatureU(*out.temperature);
  }
  if (options.zero) out.iso376 = Iso(prepared, answer, counts, out);
  out.beyond_range = BeyondRange(prepared, answer, options.zero);
}

}  // namespace

Expected<Calibration> Calibrate(const Rig& rig, const ReadingsTable& readings,
                                const CalibrateOptions& options,
                                const std::string& file) {
  if (auto ok = RefuseDeadChannels(rig, readings, file); !ok) {
    return tl::unexpected(ok.error());
  }
  auto prepared = PrepareBench(rig, readings, options, file);
  if (!prepared) return tl::unexpected(prepared.error());
  const BenchSet& bench = prepared->bench;
  if (bench.loads.size() < kFewestLoads) {
    return BadInput(file, "only " + std::to_string(bench.loads.size()) +
                              " loads above zero; a calibration needs 3 at the "
                              "least, and to be worth it five places with five "
                              "loads each");
  }

  Calibration out;
  out.rows = static_cast<int>(readings.rows.size());
  out.gravity_m_s2 = options.gravity_m_s2.value_or(kStandardGravity.si());
  for (const Channel& c : rig.channels) out.channels.push_back(c.name);
  out.performed_on = options.performed_on;
  out.by_mass = readings.by_mass;
  out.zeroed = options.zero;
  out.series = prepared->series_count;

  auto fit = FitEstimator(bench);
  if (!fit) return BadInput(file, fit.error().what);
  out.estimator = fit->estimator;
  if (rig.channels.size() == 1) {
    if (auto ok = FitCurve(*prepared, options, file, out); !ok) {
      return tl::unexpected(ok.error());
    }
  }
  std::vector<double> answer;
  for (const BenchLoad& load : bench.loads) {
    answer.push_back(out.estimator.Force(load.v));
  }
  std::optional<LeftOutError> left_out = fit->left_out;
  if (rig.channels.size() == 1 && bench.positions.size() >= 2) {
    left_out = SpreadOverPlaces(bench, answer);
  }
  if (left_out) {
    out.left_out_rms = left_out->rms;
    out.left_out_max = left_out->max;
  }
  Judge(rig, readings, *prepared, options, answer, left_out, out);
  FillResiduals(bench, answer, out);
  FillArea(bench, out);
  out.channel_map = FitChannelMap(out.estimator, bench);
  FillUncertainty(out);
  out.absolute_standard_u_n = SmallLoadError(bench, answer, out.force_high_n);
  out.warnings = CalibrationWarnings(rig, readings, *prepared, options, out);
  return out;
}

}  // namespace masseter
