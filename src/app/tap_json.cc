#include "app/tap_json.h"

namespace masseter {

nlohmann::ordered_json TapDocument(const TapTest& test) {
  nlohmann::ordered_json taps = nlohmann::ordered_json::array();
  for (const RingDown& r : test.taps) {
    taps.push_back({{"at_s", r.at_s},
                    {"natural_hz", r.system.natural_hz},
                    {"natural_u_hz", r.system.natural_u_hz},
                    {"damping", r.system.damping},
                    {"damping_u", r.system.damping_u},
                    {"cycles", r.cycles},
                    {"residual_sd", r.residual_sd},
                    {"amplitude", r.amplitude}});
  }
  return {{"natural_hz", test.system.natural_hz},
          {"natural_u_hz", test.system.natural_u_hz},
          {"damping", test.system.damping},
          {"damping_u", test.system.damping_u},
          {"taps", taps},
          {"not_used", test.not_used}};
}

Expected<std::optional<SecondOrder>> RingingOf(const Logbook& logbook) {
  const auto entries = logbook.BenchEntries("taps");
  if (!entries) return tl::unexpected(entries.error());
  if (entries->empty()) return std::nullopt;
  const auto j =
      nlohmann::json::parse(entries->back().document, nullptr, false);
  const SecondOrder out{j.is_object() ? j.value("natural_hz", 0.0) : 0.0,
                        j.is_object() ? j.value("damping", 0.0) : 0.0,
                        j.is_object() ? j.value("natural_u_hz", 0.0) : 0.0,
                        j.is_object() ? j.value("damping_u", 0.0) : 0.0};
  if (!(out.natural_hz > 0.0)) {
    return BadInput("", "tap test " + std::to_string(entries->back().id) +
                            " cannot be read");
  }
  return out;
}

}  // namespace masseter
