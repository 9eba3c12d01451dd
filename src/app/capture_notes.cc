#include "app/capture_notes.h"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

namespace masseter {
namespace {

// A clock that disagrees with the rig's rate by more is worth a word.
constexpr double kRateOff = 0.05;

}  // namespace

CaptureNotes NotesFrom(const IntakeReport& intake,
                       const TimelineReport& timeline, double nominal_rate_hz) {
  CaptureNotes out;
  out.last_s = timeline.last_s;
  out.rate_hz = timeline.period_s > 0.0 ? 1.0 / timeline.period_s : 0.0;
  out.gaps = timeline.gaps;
  out.late = timeline.late;
  out.warnings = intake.warnings;
  out.broken = intake.first_broken;
  if (!timeline.has_time) {
    out.warnings.push_back(fmt::format(
        "no clock in the capture: time is counted at the rig's nominal {:g} "
        "samples a second",
        nominal_rate_hz));
  } else if (std::abs(out.rate_hz / nominal_rate_hz - 1.0) > kRateOff) {
    out.warnings.push_back(
        fmt::format("the clock shows {:.1f} samples a second, the rig file "
                    "says {:g}; the clock is followed",
                    out.rate_hz, nominal_rate_hz));
  }
  if (timeline.late > 0) {
    out.warnings.push_back(
        fmt::format("{} {} came late or twice and {} left out", timeline.late,
                    timeline.late == 1 ? "row" : "rows",
                    timeline.late == 1 ? "was" : "were"));
  }
  return out;
}

std::string NotesDocument(const CaptureNotes& notes) {
  nlohmann::ordered_json j = {{"last_s", notes.last_s},
                              {"rate_hz", notes.rate_hz},
                              {"gaps", notes.gaps},
                              {"late", notes.late},
                              {"warnings", notes.warnings}};
  j["broken"] = nlohmann::ordered_json::array();
  for (const BrokenLine& b : notes.broken) {
    j["broken"].push_back({{"line", b.line}, {"why", b.why}});
  }
  if (notes.clocks) {
    j["clocks"] = {{"start_unix_s", notes.clocks->HostAt(0.0)},
                   {"drift_ppm", notes.clocks->drift_ppm},
                   {"spread_s", notes.clocks->spread_s}};
  }
  return j.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

CaptureNotes ParseNotes(const std::string& text) {
  CaptureNotes out;
  try {
    const auto j = nlohmann::json::parse(text);
    out.last_s = j.at("last_s").get<double>();
    out.rate_hz = j.at("rate_hz").get<double>();
    out.gaps = j.at("gaps").get<std::uint64_t>();
    out.late = j.at("late").get<std::uint64_t>();
    out.warnings = j.at("warnings").get<std::vector<std::string>>();
    for (const auto& b : j.at("broken")) {
      out.broken.push_back(
          {b.at("line").get<std::uint64_t>(), b.at("why").get<std::string>()});
    }
    if (j.contains("clocks")) {
      const auto& clocks = j.at("clocks");
      out.clocks = JoinedClocks{clocks.at("start_unix_s").get<double>(), 0.0,
                                clocks.at("drift_ppm").get<double>(),
                                clocks.at("spread_s").get<double>()};
    }
  } catch (const nlohmann::json::exception&) {
    return {};
  }
  return out;
}

}  // namespace masseter
