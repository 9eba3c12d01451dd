#include "app/calibration_parts_json.h"

#include <cmath>

#include "app/calibration_json.h"
#include "app/json_values.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

ordered_json BudgetJson(const std::vector<ReferenceTerm>& budget) {
  ordered_json out = ordered_json::array();
  for (const ReferenceTerm& line : budget) {
    out.push_back({{"term", line.term},
                   {"value", line.value},
                   {"unit", line.unit},
                   {"distribution", line.distribution},
                   {"dof", OrNull(line.dof)},
                   {"sensitivity", line.sensitivity},
                   {"contribution", line.contribution},
                   {"from", line.from}});
  }
  return out;
}

std::vector<ReferenceTerm> ReadBudget(const ordered_json& j) {
  std::vector<ReferenceTerm> out;
  for (const auto& line : j) {
    out.push_back(
        {line.at("term").get<std::string>(), line.at("value").get<double>(),
         line.at("unit").get<std::string>(),
         line.at("distribution").get<std::string>(), Optional(line.at("dof")),
         line.at("sensitivity").get<double>(),
         line.at("contribution").get<double>(),
         line.at("from").get<std::string>()});
  }
  return out;
}

ordered_json IsoJson(const std::optional<Iso376>& iso) {
  if (!iso) return nullptr;
  ordered_json levels = ordered_json::array();
  for (const IsoLevel& level : iso->levels) {
    levels.push_back(
        {{"force_n", level.force_n},
         {"b", OrNull(level.b)},
         {"b_prime", OrNull(level.b_prime)},
         {"f_c", OrNull(level.fc)},
         {"v", OrNull(level.v)},
         {"class", level.class_word.empty() ? ordered_json(nullptr)
                                            : ordered_json(level.class_word)}});
  }
  return {{"x_mm", iso->place.x_mm},
          {"y_mm", iso->place.y_mm},
          {"f_0", OrNull(iso->f0)},
          {"c", OrNull(iso->c)},
          {"levels", levels}};
}

Iso376 ReadIso(const ordered_json& j) {
  Iso376 iso;
  iso.place = {j.at("x_mm").get<double>(), j.at("y_mm").get<double>()};
  iso.f0 = Optional(j.at("f_0"));
  iso.c = Optional(j.at("c"));
  for (const auto& level : j.at("levels")) {
    IsoLevel out;
    out.force_n = level.at("force_n").get<double>();
    out.b = Optional(level.at("b"));
    out.b_prime = Optional(level.at("b_prime"));
    out.fc = Optional(level.at("f_c"));
    out.v = Optional(level.at("v"));
    if (level.at("class").is_string()) {
      out.class_word = level.at("class").get<std::string>();
    }
    iso.levels.push_back(std::move(out));
  }
  return iso;
}

ordered_json CreepJson(const std::optional<CreepRecord>& creep) {
  if (!creep) return nullptr;
  return {{"force_n", creep->force_n},
          {"x_mm", creep->place.x_mm},
          {"y_mm", creep->place.y_mm},
          {"seconds", creep->seconds},
          {"rows", creep->rows},
          {"line", creep->line},
          {"from_30_to_300_s", OrNull(creep->from_30_to_300_s)},
          {"over_30_min", OrNull(creep->over_30_min)}};
}

CreepRecord ReadCreep(const ordered_json& j) {
  CreepRecord out;
  out.force_n = j.at("force_n").get<double>();
  out.place = {j.at("x_mm").get<double>(), j.at("y_mm").get<double>()};
  out.seconds = j.at("seconds").get<double>();
  out.rows = j.at("rows").get<int>();
  out.line = j.at("line").get<int>();
  out.from_30_to_300_s = Optional(j.at("from_30_to_300_s"));
  out.over_30_min = Optional(j.at("over_30_min"));
  return out;
}

ordered_json SlopeJson(const std::optional<PerKelvin>& slope) {
  if (!slope) return nullptr;
  return {{"value", slope->value},
          {"se", slope->se},
          {"significant", slope->matters}};
}

std::optional<PerKelvin> ReadSlope(const ordered_json& j) {
  if (j.is_null()) return std::nullopt;
  return PerKelvin{j.at("value").get<double>(), j.at("se").get<double>(),
                   j.at("significant").get<bool>()};
}

ordered_json TemperatureJson(const std::optional<TemperatureEffect>& t) {
  if (!t) return nullptr;
  return {{"range_c", {t->low_c, t->high_c}},
          {"zero_n_per_k", SlopeJson(t->zero_n)},
          {"span_per_k", SlopeJson(t->span)}};
}

TemperatureEffect ReadTemperature(const ordered_json& j) {
  TemperatureEffect out;
  out.low_c = j.at("range_c").at(0).get<double>();
  out.high_c = j.at("range_c").at(1).get<double>();
  out.zero_n = ReadSlope(j.at("zero_n_per_k"));
  out.span = ReadSlope(j.at("span_per_k"));
  return out;
}

ordered_json MapJson(const std::vector<PositionFacts>& map) {
  ordered_json out = ordered_json::array();
  for (const PositionFacts& p : map) {
    out.push_back({{"x_mm", p.place.x_mm},
                   {"y_mm", p.place.y_mm},
                   {"rows", p.rows},
                   {"error", OrNull(p.left_out_error)},
                   {"rms", OrNull(p.left_out_rms)},
                   {"single_factor_error", OrNull(p.single_factor_error)},
                   {"signal_per_n", p.per_newton}});
  }
  return out;
}

std::vector<PositionFacts> ReadMap(const ordered_json& j) {
  std::vector<PositionFacts> out;
  for (const auto& p : j) {
    PositionFacts facts;
    facts.place = {p.at("x_mm").get<double>(), p.at("y_mm").get<double>()};
    facts.rows = p.at("rows").get<int>();
    facts.left_out_error = Optional(p.at("error"));
    facts.left_out_rms = Optional(p.at("rms"));
    facts.single_factor_error = Optional(p.at("single_factor_error"));
    facts.per_newton = p.at("signal_per_n").get<std::vector<double>>();
    out.push_back(std::move(facts));
  }
  return out;
}

ordered_json SingleJson(const std::optional<SingleFactor>& single) {
  if (!single) return nullptr;
  return {{"n_per_unit", single->n_per_unit},
          {"x_mm", single->place.x_mm},
          {"y_mm", single->place.y_mm},
          {"worst", single->worst},
          {"rms", single->rms}};
}

SingleFactor ReadSingle(const ordered_json& j) {
  return {j.at("n_per_unit").get<double>(),
          {j.at("x_mm").get<double>(), j.at("y_mm").get<double>()},
          j.at("worst").get<double>(),
          j.at("rms").get<double>()};
}

ordered_json ChannelsJson(const std::vector<ChannelFacts>& channels) {
  ordered_json out = ordered_json::array();
  for (const ChannelFacts& c : channels) {
    ordered_json entry = {{"name", c.name},
                          {"n_per_unit", c.gain},
                          {"curvature", OrNull(c.curvature)},
                          {"curvature_se", OrNull(c.curvature_se)},
                          {"bent", c.bent},
                          {"zero", OrNull(c.zero)},
                          {"zero_per_k", OrNull(c.zero_per_k)},
                          {"zero_per_k_se", OrNull(c.zero_per_k_se)}};
    out.push_back(std::move(entry));
  }
  return out;
}

std::vector<ChannelFacts> ReadChannels(const ordered_json& j) {
  std::vector<ChannelFacts> out;
  for (const auto& c : j) {
    ChannelFacts facts;
    facts.name = c.at("name").get<std::string>();
    facts.gain = c.at("n_per_unit").get<double>();
    facts.curvature = Optional(c.at("curvature"));
    facts.curvature_se = Optional(c.at("curvature_se"));
    facts.bent = c.at("bent").get<bool>();
    facts.zero = Optional(c.at("zero"));
    facts.zero_per_k = Optional(c.at("zero_per_k"));
    facts.zero_per_k_se = Optional(c.at("zero_per_k_se"));
    out.push_back(std::move(facts));
  }
  return out;
}

}  // namespace

ordered_json PlacesJson(const std::vector<Place>& places) {
  ordered_json out = ordered_json::array();
  for (const Place& p : places) out.push_back({p.x_mm, p.y_mm});
  return out;
}

std::vector<Place> ReadPlaces(const ordered_json& j) {
  std::vector<Place> out;
  for (const auto& p : j) {
    out.push_back({p.at(0).get<double>(), p.at(1).get<double>()});
  }
  return out;
}

ordered_json CurveObject(const CalibrationCurve& curve) {
  ordered_json se = ordered_json::array();
  for (const double s : curve.se) se.push_back(OrNull(s));
  return {{"form", CurveForm(curve)},
          {"b", curve.b},
          {"se", se},
          {"residual_sd", OrNull(curve.residual_sd)}};
}

CalibrationCurve ReadCurve(const ordered_json& j) {
  CalibrationCurve curve;
  curve.b = j.at("b").get<std::vector<double>>();
  for (const auto& se : j.at("se")) {
    curve.se.push_back(Optional(se).value_or(std::nan("")));
  }
  curve.residual_sd = Optional(j.at("residual_sd")).value_or(std::nan(""));
  return curve;
}

void AddParts(const Calibration& c, ordered_json& j) {
  j["class"] = c.iso376 && c.iso376->class_word
                   ? ordered_json(*c.iso376->class_word)
                   : ordered_json(nullptr);
  j["class_reason"] = c.iso376 ? c.iso376->class_reason
                               : "readings fitted as given, without zeros";
  j["iso376"] = IsoJson(c.iso376);
  j["creep"] = CreepJson(c.creep);
  j["reference_budget"] = BudgetJson(c.reference_budget);
  j["channel_facts"] = ChannelsJson(c.channel_facts);
  j["temperature"] = TemperatureJson(c.temperature);
  j["position_map"] = MapJson(c.position_map);
  j["single_factor"] = SingleJson(c.single_factor);
  j["beyond_range_per_range"] = c.beyond_range;
  j["series"] = c.series;
  j["by_mass"] = c.by_mass;
  j["zeroed"] = c.zeroed;
  j["performed_on"] = c.performed_on.empty() ? ordered_json(nullptr)
                                             : ordered_json(c.performed_on);
}

void ReadParts(const ordered_json& j, Calibration& c) {
  if (!j.at("iso376").is_null()) {
    c.iso376 = ReadIso(j.at("iso376"));
    c.iso376->class_reason = j.at("class_reason").get<std::string>();
    if (j.at("class").is_string()) {
      c.iso376->class_word = j.at("class").get<std::string>();
    }
  }
  if (!j.at("creep").is_null()) c.creep = ReadCreep(j.at("creep"));
  c.reference_budget = ReadBudget(j.at("reference_budget"));
  c.channel_facts = ReadChannels(j.at("channel_facts"));
  if (!j.at("temperature").is_null()) {
    c.temperature = ReadTemperature(j.at("temperature"));
  }
  c.position_map = ReadMap(j.at("position_map"));
  if (!j.at("single_factor").is_null()) {
    c.single_factor = ReadSingle(j.at("single_factor"));
  }
  c.beyond_range = j.at("beyond_range_per_range").get<double>();
  c.series = j.at("series").get<int>();
  c.by_mass = j.at("by_mass").get<bool>();
  c.zeroed = j.at("zeroed").get<bool>();
  if (j.at("performed_on").is_string()) {
    c.performed_on = j.at("performed_on").get<std::string>();
  }
}

}  // namespace masseter
