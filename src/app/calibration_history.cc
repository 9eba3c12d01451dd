#include "app/calibration_history.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "app/book.h"
#include "app/calendar_day.h"
#include "app/calibration_json.h"
#include "core/metrology/polynomial_fit.h"
#include "core/metrology/student_t.h"

namespace masseter {
namespace {

constexpr double kSamePlaceMm = 3.0;
constexpr double kDayS = 86400.0;
constexpr double kMonthS = 30.44 * kDayS;
constexpr double kShortestHistoryS = 2.0 * kDayS;

struct CommonPlace {
  const PositionFacts* before;
  const PositionFacts* after;
};

std::vector<CommonPlace> CommonPlaces(const Calibration& before,
                                      const Calibration& after) {
  std::vector<CommonPlace> out;
  for (const PositionFacts& b : after.position_map) {
    for (const PositionFacts& a : before.position_map) {
      const double off =
          std::hypot(a.place.x_mm - b.place.x_mm, a.place.y_mm - b.place.y_mm);
      const bool usable =
          !a.per_newton.empty() && a.per_newton.size() == b.per_newton.size();
      if (off > kSamePlaceMm || !usable) continue;
      out.push_back({&a, &b});
      break;
    }
  }
  return out;
}

double ReferencesU(const Calibration& before, const Calibration& after) {
  return std::hypot(before.relative.reference.value_or(0.0),
                    after.relative.reference.value_or(0.0));
}

RelativeChange Judged(double value, double scatter_u, double scatter_dof,
                      double references_u) {
  const UncertaintyTerm terms[] = {
      {scatter_u, scatter_dof},
      {references_u, std::numeric_limits<double>::infinity()}};
  const CombinedUncertainty u = CombineUncertainties(terms);
  RelativeChange out;
  out.value = value;
  out.u95 = CoverageFactor(0.95, u.dof) * u.standard_uncertainty;
  out.more = std::abs(value) > out.u95;
  return out;
}

std::optional<RelativeChange> SleeveChange(
    const Calibration& before, const Calibration& after,
    const std::vector<CommonPlace>& places) {
  if (places.size() < 2) return std::nullopt;
  std::vector<double> change;
  double sum = 0.0;
  for (const CommonPlace& place : places) {
    std::vector<double> v = place.after->per_newton;
    for (double& s : v) s *= 0.5 * after.force_high_n;
    change.push_back(before.estimator.Force(v) / after.estimator.Force(v) -
                     1.0);
    sum += change.back();
  }
  const auto n = static_cast<double>(change.size());
  const double mean = sum / n;
  double squares = 0.0;
  for (const double c : change) squares += (c - mean) * (c - mean);
  return Judged(mean, std::sqrt(squares / (n - 1.0) / n), n - 1.0,
                ReferencesU(before, after));
}

std::optional<RelativeChange> ChannelChange(
    const Calibration& before, const Calibration& after,
    const std::vector<CommonPlace>& places, std::size_t channel) {
  double cross = 0.0;
  double square = 0.0;
  for (const CommonPlace& place : places) {
    const double a = place.before->per_newton[channel];
    cross += a * place.after->per_newton[channel];
    square += a * a;
  }
  if (places.size() < 2 || !(square > 0.0)) return std::nullopt;
  const double ratio = cross / square;
  double residual = 0.0;
  for (const CommonPlace& place : places) {
    const double r = place.after->per_newton[channel] -
                     ratio * place.before->per_newton[channel];
    residual += r * r;
  }
  const auto dof = static_cast<double>(places.size()) - 1.0;
  return Judged(ratio - 1.0, std::sqrt(residual / dof / square), dof,
                ReferencesU(before, after));
}

std::optional<RelativeChange> Drift(
    const std::vector<DatedCalibration>& calibrations,
    const std::vector<CalibrationChange>& since_first) {
  std::vector<double> months = {0.0};
  std::vector<double> change = {0.0};
  for (std::size_t i = 0; i < since_first.size(); ++i) {
    if (!since_first[i].sleeve) continue;
    months.push_back((calibrations[i + 1].unix_s - calibrations[0].unix_s) /
                     kMonthS);
    change.push_back(since_first[i].sleeve->value);
  }
  if (months.size() < 3) return std::nullopt;
  if (calibrations.back().unix_s - calibrations.front().unix_s <
      kShortestHistoryS) {
    return std::nullopt;
  }
  const auto line = FitPolynomial(months, change, 1);
  if (!line) return std::nullopt;
  const double references = ReferencesU(calibrations.front().calibration,
                                        calibrations.back().calibration) /
                            months.back();
  return Judged(line->coeffs()[1], line->standard_errors()[1], line->dof(),
                references);
}

using nlohmann::ordered_json;

ordered_json ChangeJson(const std::optional<RelativeChange>& change) {
  if (!change) return nullptr;
  return {{"change", change->value},
          {"u95", change->u95},
          {"more_than_uncertainty", change->more}};
}

ordered_json ChangesJson(const CalibrationHistory& history,
                         const std::vector<CalibrationChange>& changes) {
  ordered_json out = ordered_json::array();
  for (const CalibrationChange& c : changes) {
    ordered_json channels = ordered_json::array();
    for (std::size_t i = 0; i < c.channels.size(); ++i) {
      ordered_json entry = {{"name", history.channels[i]}};
      entry["sensitivity"] = ChangeJson(c.channels[i]);
      channels.push_back(std::move(entry));
    }
    out.push_back({{"from", c.from},
                   {"to", c.to},
                   {"days", c.days},
                   {"places", c.places},
                   {"sleeve", ChangeJson(c.sleeve)},
                   {"channels", channels}});
  }
  return out;
}

}  // namespace

CalibrationChange CompareCalibrations(const DatedCalibration& before,
                                      const DatedCalibration& after) {
  CalibrationChange out;
  out.from = before.id;
  out.to = after.id;
  out.days = (after.unix_s - before.unix_s) / kDayS;
  const Calibration& a = before.calibration;
  const Calibration& b = after.calibration;
  const bool same_channels = a.channels == b.channels;
  const auto places =
      same_channels ? CommonPlaces(a, b) : std::vector<CommonPlace>{};
  out.places = places.size();
  out.sleeve = SleeveChange(a, b, places);
  for (std::size_t c = 0; c < b.channels.size(); ++c) {
    out.channels.push_back(ChannelChange(a, b, places, c));
  }
  return out;
}

CalibrationHistory HistoryOf(std::string rig,
                             std::vector<DatedCalibration> calibrations) {
  CalibrationHistory out;
  out.rig = std::move(rig);
  std::stable_sort(calibrations.begin(), calibrations.end(),
                   [](const DatedCalibration& a, const DatedCalibration& b) {
                     return a.unix_s < b.unix_s;
                   });
  out.calibrations = std::move(calibrations);
  if (out.calibrations.empty()) return out;
  out.channels = out.calibrations.back().calibration.channels;
  for (std::size_t i = 1; i < out.calibrations.size(); ++i) {
    const DatedCalibration& here = out.calibrations[i];
    out.steps.push_back(CompareCalibrations(out.calibrations[i - 1], here));
    out.since_first.push_back(
        CompareCalibrations(out.calibrations.front(), here));
  }
  out.drift_per_month = Drift(out.calibrations, out.since_first);
  return out;
}

Expected<CalibrationHistory> ReadCalibrationHistory(
    const std::string& book_path) {
  const auto book = OpenBook(book_path, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  const auto records = book->logbook.Calibrations();
  if (!records) return tl::unexpected(records.error());
  std::vector<DatedCalibration> calibrations;
  for (const CalibrationRecord& record : *records) {
    auto calibration = ParseCalibrationDocument(record.document);
    if (!calibration) return tl::unexpected(calibration.error());
    const auto day = ParseDay(calibration->performed_on);
    calibrations.push_back({record.id, day.value_or(record.created_unix_s),
                            std::move(*calibration)});
  }
  return HistoryOf(book->rig.name, std::move(calibrations));
}

ordered_json HistoryJson(const CalibrationHistory& history) {
  ordered_json list = ordered_json::array();
  for (const DatedCalibration& c : history.calibrations) {
    list.push_back(
        {{"calibration", c.id},
         {"date", DayText(c.unix_s)},
         {"rows", c.calibration.rows},
         {"expanded_relative_u95", c.calibration.expanded_relative_u95},
         {"force_range_n",
          {c.calibration.force_low_n, c.calibration.force_high_n}}});
  }
  ordered_json out = {{"rig", history.rig}, {"calibrations", list}};
  out["steps"] = ChangesJson(history, history.steps);
  out["since_first"] = ChangesJson(history, history.since_first);
  out["drift_per_month"] = ChangeJson(history.drift_per_month);
  return out;
}

}  // namespace masseter
