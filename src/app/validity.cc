#include "app/validity.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "app/calibration_json.h"
#include "app/json_values.h"
#include "app/tap_json.h"
#include "core/base/text_fields.h"

namespace masseter {
namespace {

constexpr double kDay = 86400.0;

double Begins(const InForce& c) {
  return CalibrationBegins(*c.calibration, c.created_unix_s);
}

const InForce* Choose(const std::vector<InForce>& all,
                      const CaptureInfo& capture) {
  const InForce* before = nullptr;
  const InForce* own = nullptr;
  for (const InForce& c : all) {
    const double begins = Begins(c);
    if (begins <= capture.created_unix_s &&
        (before == nullptr || begins >= Begins(*before))) {
      before = &c;
    }
    if (c.id == capture.calibration) own = &c;
  }
  if (before != nullptr) return before;
  if (own != nullptr) return own;
  return all.empty() ? nullptr : &all.back();
}

std::optional<double> Limit(const nlohmann::json& j, const char* key) {
  const auto it = j.find(key);
  if (it == j.end() || !it->is_number()) return std::nullopt;
  const double value = it->get<double>();
  if (value <= 0.0) return std::nullopt;
  return value;
}

}  // namespace

Expected<InForce> CalibrationFor(const Logbook& logbook,
                                 const CaptureInfo& capture) {
  const auto records = logbook.Calibrations();
  if (!records) return tl::unexpected(records.error());
  std::vector<InForce> all;
  for (const CalibrationRecord& record : *records) {
    auto calibration = ParseCalibrationDocument(record.document);
    if (!calibration) return tl::unexpected(calibration.error());
    all.push_back({record.id, record.created_unix_s, std::move(*calibration)});
  }
  const InForce* chosen = Choose(all, capture);
  if (chosen == nullptr) return InForce{};
  const auto ringing = RingingOf(logbook);
  if (!ringing) return tl::unexpected(ringing.error());
  InForce out = *chosen;
  out.calibration->ringing = *ringing;
  return out;
}

bool HasWallTime(const CaptureInfo& capture) {
  for (const char* start : {"serial:", "tcp:", "udp:", "mqtt:"}) {
    if (capture.source.starts_with(start)) return true;
  }
  return capture.source == "-";
}

double WallTime(const CaptureInfo& capture, double t_s) {
  return capture.created_unix_s + (HasWallTime(capture) ? t_s : 0.0);
}

Expected<ValidityLimits> LimitsOf(const Logbook& logbook) {
  const auto entries = logbook.BenchEntries("limits");
  if (!entries) return tl::unexpected(entries.error());
  ValidityLimits out;
  if (entries->empty()) return out;
  const auto j =
      nlohmann::json::parse(entries->back().document, nullptr, false);
  if (!j.is_object()) return out;
  out.calibration_for_s = Limit(j, "calibration_for_s");
  out.check_every_s = Limit(j, "check_every_s");
  return out;
}

Expected<ValidityLimits> SetLimits(Logbook& logbook,
                                   const ValidityLimits& change,
                                   double now_unix_s) {
  auto limits = LimitsOf(logbook);
  if (!limits) return limits;
  if (change.calibration_for_s) {
    limits->calibration_for_s = change.calibration_for_s;
  }
  if (change.check_every_s) limits->check_every_s = change.check_every_s;
  const nlohmann::ordered_json j = {
      {"calibration_for_s", OrNull(limits->calibration_for_s)},
      {"check_every_s", OrNull(limits->check_every_s)}};
  const auto done = logbook.Transact([&]() -> Expected<void> {
    const auto id = logbook.AddBenchEntry({0, "limits", now_unix_s, j.dump()});
    if (!id) return tl::unexpected(id.error());
    return logbook.MeasureAnewLater();
  });
  if (!done) return tl::unexpected(done.error());
  return LimitsOf(logbook);
}

Expected<std::optional<Validity>> ValidityOf(const Logbook& logbook,
                                             const InForce& in_force) {
  if (!in_force.calibration) return std::nullopt;
  const auto limits = LimitsOf(logbook);
  if (!limits) return tl::unexpected(limits.error());
  const auto checks = logbook.BenchEntries("check");
  if (!checks) return tl::unexpected(checks.error());
  Validity out;
  out.calibrated_unix_s = Begins(in_force);
  out.expanded_relative_u95 = in_force.calibration->expanded_relative_u95;
  out.calibration_for_s = limits->calibration_for_s;
  out.check_every_s = limits->check_every_s;
  for (const BenchEntry& entry : *checks) {
    const auto j = nlohmann::json::parse(entry.document, nullptr, false);
    if (!j.is_object() ||
        j.value("calibration", std::int64_t{0}) != in_force.id)
      continue;
    const double load = j.value("load_n", 0.0);
    if (!(load > 0.0)) continue;
    out.checks.push_back({entry.created_unix_s, j.value("within", false),
                          j.value("difference_n", 0.0) / load});
  }
  return out;
}

void DateBite(const std::optional<Validity>& validity,
              const CaptureInfo& capture, Bite& bite) {
  if (!validity) return;
  ApplyStale(*validity, WallTime(capture, bite.end_s), bite);
}

Expected<double> ParseSpan(const std::string& text, const std::string& option) {
  double unit = kDay;
  std::string number = text;
  if (!text.empty()) {
    static constexpr std::pair<char, double> kUnits[] = {
        {'d', kDay}, {'h', 3600.0}, {'m', 60.0}, {'s', 1.0}};
    for (const auto& [letter, length] : kUnits) {
      if (text.back() != letter) continue;
      unit = length;
      number.pop_back();
    }
  }
  const auto value = ParseNumber(number);
  if (!value || *value < 0.0) {
    return BadInput(
        option,
        "must be a time such as 30d, 12h, 90m or 45s, not \"" + text + "\"");
  }
  return *value * unit;
}

}  // namespace masseter
