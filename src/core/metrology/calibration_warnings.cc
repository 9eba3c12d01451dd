#include "core/metrology/calibration_warnings.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>

namespace masseter {
namespace {

// The highest voluntary bite found in the literature is 1394 N (Lindner et
// al. 1995, chewing on rawhide).
constexpr double kDogsWillDoN = 1394.0;
constexpr double kOffCentre = 0.02;
constexpr double kReversibility = 0.01;
constexpr double kDrift = 0.005;
constexpr int kFewSeries = 3;

// Percent with two significant digits, independent of the locale.
std::string Percent(double relative) {
  const double percent = 100.0 * relative;
  const long hundredths = std::lround(percent * 100.0);
  if (hundredths >= 1000) return std::to_string(std::lround(percent)) + " %";
  const long tenths = std::lround(percent * 10.0);
  if (tenths >= 10) {
    return std::to_string(tenths / 10) + "." + std::to_string(tenths % 10) +
           " %";
  }
  return "0." + std::string(hundredths < 10 ? "0" : "") +
         std::to_string(hundredths) + " %";
}

std::string Newtons(double force) {
  return std::to_string(std::lround(force)) + " N";
}

std::string Lines(const std::vector<int>& lines) {
  std::string out;
  for (std::size_t i = 0; i < lines.size() && i < 8; ++i) {
    out += (i == 0 ? "" : ", ") + std::to_string(lines[i]);
  }
  return lines.size() > 8 ? out + ", …" : out;
}

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

}  // namespace

std::vector<CalibrationWarning> CalibrationWarnings(
    const Rig& rig, const ReadingsTable& readings,
    const PreparedBench& prepared, const CalibrateOptions& options,
    const Calibration& calibration) {
  std::vector<CalibrationWarning> out;
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
  const int places = static_cast<int>(prepared.bench.positions.size());
  const int wanted = rig.channels.size() == 1 ? 3 : 5;
  if (places < wanted) {
    out.push_back({"few_positions",
                   "loads at " + std::to_string(places) +
                       (places == 1 ? " place" : " places") + "; with " +
                       std::to_string(wanted) +
                       " or more it is known how far the place matters"});
  }
  if (prepared.series_count < kFewSeries) {
    out.push_back(
        {"few_series", std::to_string(prepared.series_count) + " series; " +
                           std::to_string(kFewSeries) +
                           " or more show how well a loading repeats"});
  }
  if (calibration.force_high_n < 0.5 * kDogsWillDoN) {
    out.push_back({"range", "loads reach " + Newtons(calibration.force_high_n) +
                                "; dogs have reached " + Newtons(kDogsWillDoN) +
                                ", so larger loads would be better"});
  }
  if (calibration.relative.reversibility.value_or(0.0) > kReversibility) {
    out.push_back(
        {"reversibility", "falling and rising loads differ by " +
                              Percent(*calibration.relative.reversibility) +
                              "; look for friction or a shell that sticks"});
  }
  if (calibration.relative.zero_return.value_or(0.0) > kDrift) {
    out.push_back({"drift", "the zero moved by " +
                                Percent(*calibration.relative.zero_return) +
                                " of the largest load during a series; warm "
                                "up longer or read the zero more often"});
  }
  if (!prepared.bad_lines.empty()) {
    out.push_back({"bad_rows", "line " + Lines(prepared.bad_lines) +
                                   ": the load contradicts the others at its "
                                   "place and was left out; check the weight "
                                   "and the reading"});
  }
  if (readings.by_mass && !options.gravity_m_s2) {
    out.push_back({"gravity",
                   "no gravity was given: 9.80665 m/s2 is used, true values "
                   "lie between 9.780 and 9.832; give --gravity, or "
                   "--latitude and --height"});
  }
  return out;
}

}  // namespace masseter
