#include "app/certificate_facts.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "app/calendar_day.h"
#include "app/calibration_json.h"
#include "app/file_io.h"
#include "app/validity.h"
#include "app/version.h"
#include "core/bite/pipeline.h"
#include "core/metrology/readings.h"
#include "core/trust/stale.h"
#include "report/figure_text.h"

namespace masseter {
namespace {

const ReferenceTerm* Term(const Calibration& c, std::string_view name) {
  for (const ReferenceTerm& line : c.reference_budget) {
    if (line.term == name) return &line;
  }
  return nullptr;
}

// "c1, c2 (1500 N each)"; one by one where they differ.
std::string ChannelsText(const Rig& rig) {
  const auto capacity = [](const Channel& c) {
    return c.capacity ? c.capacity->si() : 0.0;
  };
  const double first = capacity(rig.channels.front());
  bool alike = rig.channels.size() > 1;
  for (const Channel& c : rig.channels) alike = alike && capacity(c) == first;
  std::string out;
  for (const Channel& c : rig.channels) {
    out += (out.empty() ? "" : ", ") + c.name;
    if (c.capacity && !alike) out += fmt::format(" ({:.6g} N)", capacity(c));
  }
  if (alike && first > 0.0) out += fmt::format(" ({:.6g} N each)", first);
  return out;
}

std::string TemperatureText(const Rig& rig, const CalibrationRecord& record) {
  const auto table = ParseReadings(record.readings, "readings", rig);
  std::optional<double> low;
  std::optional<double> high;
  if (table) {
    for (const Reading& row : table->rows) {
      if (!row.temp_c) continue;
      low = std::min(low.value_or(*row.temp_c), *row.temp_c);
      high = std::max(high.value_or(*row.temp_c), *row.temp_c);
    }
  }
  if (!low) return "not recorded";
  return Typographic(FixedText(*low, 1)) + " to " +
         Typographic(FixedText(*high, 1)) + " °C at the cells";
}

std::string LoadsText(const Calibration& c) {
  if (const ReferenceTerm* line = Term(c, "transducer")) {
    return "transducer (" + line->from + ")";
  }
  if (const ReferenceTerm* line = Term(c, "weights")) {
    return "dead weights (" + line->from + ")";
  }
  return "not known";
}

std::string ReadingsText(const Calibration& c) {
  bool falling = false;
  for (const CalibrationResidual& r : c.residuals) {
    falling = falling || !r.rising;
  }
  return fmt::format(
      "{} in {}, {}, {}", c.rows,
      CountText(static_cast<std::size_t>(c.series), "series", "series"),
      CountText(c.position_map.size(), "place"),
      falling ? "rising and falling" : "rising");
}

// The newest check load made with this calibration.
Expected<std::string> LastCheck(const Logbook& logbook, std::int64_t id) {
  const auto entries = logbook.BenchEntries("check");
  if (!entries) return tl::unexpected(entries.error());
  std::string out = "no check load yet";
  for (const BenchEntry& entry : *entries) {
    const auto j = nlohmann::json::parse(entry.document, nullptr, false);
    if (!j.is_object() || j.value("calibration", std::int64_t{0}) != id) {
      continue;
    }
    out = fmt::format(
        "last one on {}, {}", DayText(entry.created_unix_s),
        j.value("within", false) ? "within tolerance" : "out of tolerance");
  }
  return out;
}

std::string AgeLimit(const ValidityLimits& limits, double begins) {
  if (!limits.calibration_for_s) {
    return "no limit set (masseter check --valid-for 180d)";
  }
  return fmt::format("until {} ({})",
                     DayText(begins + *limits.calibration_for_s),
                     AgeText(*limits.calibration_for_s));
}

}  // namespace

std::string CalibrationDay(const Calibration& calibration,
                           const CalibrationRecord& record) {
  return calibration.performed_on.empty() ? DayText(record.created_unix_s)
                                          : calibration.performed_on;
}

CertificateFacts IdentificationFacts(const Book& book,
                                     const CalibrationRecord& record,
                                     const Calibration& c) {
  const Rig& rig = book.rig;
  std::string cells = ChannelsText(rig);
  if (rig.safe_load) {
    cells += fmt::format("; safe load {:.6g} N", rig.safe_load->si());
  }
  return {{"Rig", fmt::format("revision {}, logbook {}", book.rig_revision,
                              FileName(book.logbook.path()))},
          {"Cells", cells},
          {"Signals to force", EstimatorWords(c.estimator)},
          {"Readings taken", CalibrationDay(c, record)},
          {"Evaluated", fmt::format("{}, masseter {}, method {}",
                                    DayText(record.created_unix_s),
                                    kProgramVersion, kMethodVersion)}};
}

CertificateFacts ConditionFacts(const Rig& rig, const CalibrationRecord& record,
                                const Calibration& c) {
  CertificateFacts out = {{"Loads", LoadsText(c)},
                          {"Readings", ReadingsText(c)}};
  if (const ReferenceTerm* g = Term(c, "gravity")) {
    out.push_back(
        {"Gravity", FixedText(g->value, 5) + " m/s² (" + g->from + ")"});
  }
  const ReferenceTerm* air = Term(c, "air density");
  const ReferenceTerm* weight = Term(c, "weight density");
  if (air != nullptr && weight != nullptr) {
    out.push_back(
        {"Air, weights", fmt::format("{:.4g} kg/m³, {:.5g} kg/m³ ({})",
                                     air->value, weight->value, weight->from)});
  }
  if (const ReferenceTerm* lever = Term(c, "lever")) {
    out.push_back({"Lever", fmt::format("{:.6g} times", lever->value)});
  }
  out.push_back({"Temperature", TemperatureText(rig, record)});
  out.push_back({"Zero", c.zeroed ? "before and after loads, interpolated"
                                  : "readings as given, no zero taken off"});
  return out;
}

Expected<CertificateFacts> ValidityFacts(const Book& book,
                                         const CalibrationRecord& record,
                                         const Calibration& c) {
  const auto limits = LimitsOf(book.logbook);
  if (!limits) return tl::unexpected(limits.error());
  const auto check = LastCheck(book.logbook, record.id);
  if (!check) return tl::unexpected(check.error());
  const double begins = CalibrationBegins(c, record.created_unix_s);
  const Rig& rig = book.rig;
  return CertificateFacts{
      {"Age", AgeLimit(*limits, begins)},
      {"Check loads",
       limits->check_every_s
           ? "due every " + AgeText(*limits->check_every_s) + "; " + *check
           : *check},
      {"Forces",
       fmt::format("{} to {} N; beyond, +{} (standard) per {} N, 1.5 % at most",
                   FixedText(c.force_low_n, 0), FixedText(c.force_high_n, 0),
                   PercentText(c.beyond_range), FixedText(c.force_high_n, 0))},
      {"Gape", rig.grip_thickness
                   ? fmt::format("{:.4g} mm; dogs close weaker the "
                                 "wider they open",
                                 1000.0 * rig.grip_thickness->si())
                   : "not stated"},
      {"Cover", rig.cover.empty() ? "not stated"
                                  : rig.cover + "; a new cover is a new "
                                                "calibration"},
      {"Ends with",
       "another cell, amplifier, plate or plug, and with an overload"}};
}

}  // namespace masseter
