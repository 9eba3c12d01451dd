#include "core/metrology/calibration_warnings.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "core/metrology/bench_doubts.h"
#include "core/metrology/temperature_effect.h"
#include "core/metrology/warning_text.h"

namespace masseter {
namespace {

// The highest voluntary bite found in the literature is 1394 N (Lindner et
// al. 1995, chewing on rawhide).
constexpr double kDogsWillDoN = 1394.0;
constexpr double kOffCentre = 0.02;
constexpr double kReversibility = 0.01;
constexpr double kDrift = 0.005;
constexpr int kFewSeries = 3;
constexpr std::size_t kFewLoads = 4;
constexpr double kTemperature = 0.005;
constexpr double kCreep = 0.005;

// Largest difference between the mean answers at two places.
double PlaceRange(const Calibration& calibration) {
  struct Mean {
    double x, y, sum, n;
  };
  std::vector<Mean> means;
  for (const CalibrationResidual& r : calibration.residuals) {
    if (r.force_n < 0.1 * calibration.force_high_n) continue;
    auto it = std::find_if(means.begin(), means.end(), [&](const Mean& m) {
      return m.x == r.x_mm && m.y == r.y_mm;
    });
    if (it == means.end()) it = means.insert(it, {r.x_mm, r.y_mm, 0.0, 0.0});
    it->sum += r.relative;
    it->n += 1.0;
  }
  if (means.size() < 2) return 0.0;
  const auto [low, high] = std::minmax_element(
      means.begin(), means.end(),
      [](const Mean& a, const Mean& b) { return a.sum / a.n < b.sum / b.n; });
  return high->sum / high->n - low->sum / low->n;
}

using Warnings = std::vector<CalibrationWarning>;

std::string Counted(std::size_t n, const std::string& noun) {
  return std::to_string(n) + " " + noun + (n == 1 ? "" : "s");
}

void WarnOfPlan(const Rig& rig, const PreparedBench& prepared,
                const Calibration& calibration, Warnings& out) {
  const double range = PlaceRange(calibration);
  if (range > kOffCentre) {
    const std::string cure =
        rig.channels.size() == 1
            ? "; one cell cannot see where it is gripped, a second cell or a "
              "guided plate would cure it"
            : "; load more places, or let the plate rest on its cells alone";
    out.push_back(
        {"off_centre", "the place of the load changes the answer by " +
                           Percent(range) + cure});
  }
  const std::size_t places = prepared.bench.positions.size();
  const std::size_t wanted = rig.channels.size() == 1 ? 3 : 5;
  if (places < wanted) {
    out.push_back({"few_positions",
                   "loads at " + Counted(places, "place") + "; with " +
                       std::to_string(wanted) +
                       " or more it is known how far the place matters"});
  }
  if (prepared.series_count < kFewSeries) {
    out.push_back(
        {"few_series", std::to_string(prepared.series_count) + " series; " +
                           std::to_string(kFewSeries) +
                           " or more show how well a loading repeats"});
  }
  const std::size_t levels = prepared.level_force_n.size();
  if (levels < kFewLoads) {
    out.push_back(
        {"few_loads", "loads of " + Counted(levels, "size") +
                          "; with five or more, spread over the range, it is "
                          "known whether the sleeve is straight between them"});
  }
  if (calibration.force_high_n < 0.5 * kDogsWillDoN) {
    const std::string high = Newtons(calibration.force_high_n);
    out.push_back({"range", "loads reach " + high + "; dogs have reached " +
                                Newtons(kDogsWillDoN) + ". Beyond " + high +
                                " every interval grows by " +
                                Percent(calibration.beyond_range) +
                                " of the force for each further " + high +
                                ", so larger loads would be better"});
  }
}

void WarnOfBehaviour(const Calibration& calibration, Warnings& out) {
  const RelativeTerms& relative = calibration.relative;
  if (relative.reversibility.value_or(0.0) > kReversibility) {
    out.push_back(
        {"reversibility", "falling and rising loads differ by " +
                              Percent(*relative.reversibility) +
                              "; look for friction or a shell that sticks"});
  }
  if (relative.zero_return.value_or(0.0) > kDrift) {
    out.push_back({"drift", "the zero moved by " +
                                Percent(*relative.zero_return) +
                                " of the largest load during a series; warm "
                                "up longer or read the zero more often"});
  }
  if (relative.creep.value_or(0.0) > kCreep) {
    out.push_back({"creep", "the answer changed by " +
                                Percent(*relative.creep) +
                                " while a load stood; a stiffer cover or "
                                "another cell would creep less"});
  }
  const auto& temperature = calibration.temperature;
  if (!temperature) return;
  const double scale = std::max(calibration.force_high_n, 1e-300);
  const double span = temperature->span && temperature->span->matters
                          ? std::abs(temperature->span->value) * kFieldSwingK
                          : 0.0;
  const double zero =
      temperature->zero_n && temperature->zero_n->matters
          ? std::abs(temperature->zero_n->value) * kFieldSwingK / scale
          : 0.0;
  if (std::max(span, zero) <= kTemperature) return;
  out.push_back(
      {"temperature",
       (span >= zero ? "the force reads " + Percent(span) +
                           " differently after a change of 15 K"
                     : "the zero moves by " + Percent(zero) +
                           " of the largest load with a change of 15 K") +
           "; calibrate near the field's temperature and let the sleeve stand "
           "there for half an hour"});
}

// Series whose last reading bears a load.
void WarnOfZeros(const ReadingsTable& readings, Warnings& out) {
  std::vector<std::string> open;
  for (std::size_t i = 0; i < readings.rows.size(); ++i) {
    const Reading& row = readings.rows[i];
    const bool goes_on = std::any_of(
        readings.rows.begin() + static_cast<std::ptrdiff_t>(i) + 1,
        readings.rows.end(),
        [&](const Reading& later) { return later.series == row.series; });
    if (!goes_on && row.Load() > 0.0) open.push_back(row.series);
  }
  if (open.empty()) return;
  out.push_back(
      {"zeros", "series " + Joined(open) +
                    (open.size() == 1 ? " ends" : " end") +
                    " under load, so what the zero did meanwhile is not seen; "
                    "end each with a reading of nothing on"});
}

// "line 5: reads like 40 kg": what the slip looks like.
std::string SlipWords(const std::vector<BadRow>& rows) {
  std::vector<int> lines;
  bool tenfold = true;
  for (const BadRow& row : rows) {
    lines.push_back(row.line);
    tenfold = tenfold && std::abs(row.ratio / 10.0 - 1.0) < 0.3;
  }
  bool tenth = true;
  for (const BadRow& row : rows) {
    tenth = tenth && std::abs(row.ratio * 10.0 - 1.0) < 0.3;
  }
  const std::string what =
      tenfold ? "the load reads like a tenth of what is written; a point may "
                "be missing"
      : tenth ? "the load reads like ten times what is written; the point may "
                "stand wrong"
              : "the load contradicts the others at its place";
  return "line " + Lines(lines) + ": " + what +
         ". Left out; check the weight and the reading";
}

}  // namespace

std::vector<CalibrationWarning> CalibrationWarnings(
    const Rig& rig, const ReadingsTable& readings,
    const PreparedBench& prepared, const CalibrateOptions& options,
    const Calibration& calibration) {
  Warnings out;
  WarnOfPlan(rig, prepared, calibration, out);
  WarnOfBehaviour(calibration, out);
  if (options.zero) WarnOfZeros(readings, out);
  if (!prepared.bad_rows.empty()) {
    out.push_back({"bad_rows", SlipWords(prepared.bad_rows)});
  }
  if (!prepared.duplicate_lines.empty()) {
    out.push_back(
        {"duplicates", "line " + Lines(prepared.duplicate_lines) +
                           ": stands in the file already, reading for reading. "
                           "Left out; a repeat counts only when it was loaded "
                           "again"});
  }
  if (readings.by_mass && !options.gravity_m_s2) {
    out.push_back({"gravity",
                   "no gravity was given: 9.80665 m/s2 is used, true values "
                   "lie between 9.780 and 9.832; give --gravity, or "
                   "--latitude and --height"});
  }
  for (CalibrationWarning& doubt :
       BenchDoubts(rig, readings, prepared, calibration.estimator.gain,
                   calibration.position_map)) {
    out.push_back(std::move(doubt));
  }
  return out;
}

}  // namespace masseter
