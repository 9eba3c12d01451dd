#include "app/bench_json.h"

#include "app/json_values.h"

namespace masseter {

using nlohmann::ordered_json;

ordered_json PlanDocument(const LoadPlan& plan) {
  ordered_json places = ordered_json::array();
  for (const Place& p : plan.places) places.push_back({p.x_mm, p.y_mm});
  return {{"load_unit", plan.by_mass ? "kg" : "N"},
          {"loads", plan.loads},
          {"places_mm", places},
          {"series", plan.series},
          {"falling", plan.falling}};
}

std::optional<LoadPlan> ParsePlan(const nlohmann::json& j) {
  try {
    LoadPlan plan;
    plan.by_mass = j.at("load_unit").get<std::string>() == "kg";
    plan.loads = j.at("loads").get<std::vector<double>>();
    for (const auto& p : j.at("places_mm")) {
      plan.places.push_back({p.at(0).get<double>(), p.at(1).get<double>()});
    }
    plan.series = j.at("series").get<int>();
    plan.falling = j.at("falling").get<bool>();
    if (plan.loads.empty() || plan.places.empty()) return std::nullopt;
    return plan;
  } catch (const nlohmann::json::exception&) {
    return std::nullopt;
  }
}

ordered_json ReadingDocument(const BenchReading& r) {
  return {{"number", r.number},
          {"step", r.step},
          {"mean", r.value.mean},
          {"sd", r.value.sd},
          {"samples", r.value.samples},
          {"t_s", r.value.t_s},
          {"temp_c", OrNull(r.value.temp_c)},
          {"waited_s", r.value.waited_s},
          {"settled", r.value.settled}};
}

std::optional<BenchReading> ParseBenchReading(const nlohmann::json& j,
                                              std::size_t channels) {
  try {
    BenchReading r;
    r.number = j.at("number").get<int>();
    r.step = j.at("step").get<std::size_t>();
    r.value.mean = j.at("mean").get<std::vector<double>>();
    r.value.sd = j.at("sd").get<std::vector<double>>();
    r.value.samples = j.at("samples").get<std::size_t>();
    r.value.t_s = j.at("t_s").get<double>();
    if (j.at("temp_c").is_number())
      r.value.temp_c = j.at("temp_c").get<double>();
    r.value.waited_s = j.at("waited_s").get<double>();
    r.value.settled = j.at("settled").get<bool>();
    if (r.value.mean.size() != channels) return std::nullopt;
    return r;
  } catch (const nlohmann::json::exception&) {
    return std::nullopt;
  }
}

}  // namespace masseter
