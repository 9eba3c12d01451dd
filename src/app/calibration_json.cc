#include "app/calibration_json.h"

#include <cmath>

#include "app/calibration_parts_json.h"
#include "app/json_values.h"

namespace masseter {
namespace {

using nlohmann::ordered_json;

// One curve for a rig of one channel; one a channel otherwise.
ordered_json CurvesJson(const Calibration& c) {
  if (c.curve) return CurveObject(*c.curve);
  ordered_json out = ordered_json::array();
  for (const ChannelFacts& channel : c.channel_facts) {
    if (!channel.curve) continue;
    ordered_json entry = {{"channel", channel.name},
                          {"x_mm", channel.curve_place.x_mm},
                          {"y_mm", channel.curve_place.y_mm}};
    entry.update(CurveObject(*channel.curve));
    out.push_back(std::move(entry));
  }
  return out;
}

// After ReadParts, which brings the channels.
void ReadCurves(const ordered_json& j, Calibration& c) {
  if (j.is_object()) {
    c.curve = ReadCurve(j);
    return;
  }
  for (const auto& entry : j) {
    for (ChannelFacts& channel : c.channel_facts) {
      if (channel.name != entry.at("channel").get<std::string>()) continue;
      channel.curve = ReadCurve(entry);
      channel.curve_place = {entry.at("x_mm").get<double>(),
                             entry.at("y_mm").get<double>()};
    }
  }
}

ordered_json RelativeJson(const RelativeTerms& r) {
  return {{"repeatability", OrNull(r.repeatability)},
          {"reproducibility", OrNull(r.reproducibility)},
          {"interpolation", OrNull(r.interpolation)},
          {"reversibility", OrNull(r.reversibility)},
          {"zero_return", OrNull(r.zero_return)},
          {"off_centre", OrNull(r.off_centre)},
          {"resolution", OrNull(r.resolution)},
          {"reference", OrNull(r.reference)},
          {"creep", OrNull(r.creep)},
          {"temperature", OrNull(r.temperature)}};
}

RelativeTerms ReadRelative(const ordered_json& j) {
  RelativeTerms r;
  r.repeatability = Optional(j.at("repeatability"));
  r.reproducibility = Optional(j.at("reproducibility"));
  r.interpolation = Optional(j.at("interpolation"));
  r.reversibility = Optional(j.at("reversibility"));
  r.zero_return = Optional(j.at("zero_return"));
  r.off_centre = Optional(j.at("off_centre"));
  r.resolution = Optional(j.at("resolution"));
  r.reference = Optional(j.at("reference"));
  r.creep = Optional(j.at("creep"));
  r.temperature = Optional(j.at("temperature"));
  return r;
}

ordered_json EstimatorJson(const Estimator& e) {
  return {{"form", EstimatorFormWord(e.form)},
          {"curvature", e.curvature},
          {"gain", e.gain},
          {"coeffs", e.coeffs},
          {"cells", PlacesJson(e.cells)},
          {"spread_mm", e.spread_mm},
          {"force_scale_n", e.force_scale_n},
          {"floor_n", e.floor_n},
          {"curve", e.curve}};
}

ordered_json ChannelMapJson(const ChannelMap& map) {
  ordered_json channels = ordered_json::array();
  for (const ChannelPrediction& one : map.channel) {
    channels.push_back(
        {{"coeffs", one.coeffs}, {"relative_sd", one.relative_sd}});
  }
  return {{"channel", channels},
          {"lowest_ratio", map.lowest_ratio},
          {"lowest_force_ratio", map.lowest_force_ratio}};
}

ChannelMap ReadChannelMap(const ordered_json& j) {
  ChannelMap map;
  for (const auto& one : j.at("channel")) {
    map.channel.push_back({one.at("coeffs").get<std::vector<double>>(),
                           one.at("relative_sd").get<double>()});
  }
  map.lowest_ratio = j.at("lowest_ratio").get<std::vector<double>>();
  map.lowest_force_ratio = j.at("lowest_force_ratio").get<double>();
  return map;
}

std::optional<EstimatorForm> FormOf(const std::string& word) {
  for (int k = 0; k <= static_cast<int>(EstimatorForm::kCurve); ++k) {
    const auto form = static_cast<EstimatorForm>(k);
    if (EstimatorFormWord(form) == word) return form;
  }
  return std::nullopt;
}

Estimator ReadEstimator(const ordered_json& j) {
  Estimator e;
  const std::string form = j.at("form").get<std::string>();
  const auto known = FormOf(form);
  if (!known) {
    throw nlohmann::json::other_error::create(
        501, "unknown estimator \"" + form + "\"", nullptr);
  }
  e.form = *known;
  e.curvature = j.at("curvature").get<bool>();
  e.gain = j.at("gain").get<std::vector<double>>();
  e.coeffs = j.at("coeffs").get<std::vector<double>>();
  e.cells = ReadPlaces(j.at("cells"));
  e.spread_mm = j.at("spread_mm").get<double>();
  e.force_scale_n = j.at("force_scale_n").get<double>();
  e.floor_n = j.at("floor_n").get<double>();
  e.curve = j.at("curve").get<std::vector<double>>();
  return e;
}

ordered_json WarningsJson(const std::vector<CalibrationWarning>& warnings) {
  ordered_json out = ordered_json::array();
  for (const CalibrationWarning& w : warnings) {
    out.push_back({{"code", w.code}, {"text", w.text}});
  }
  return out;
}

ordered_json ResidualsJson(const std::vector<CalibrationResidual>& residuals) {
  ordered_json out = ordered_json::array();
  for (const CalibrationResidual& r : residuals) {
    out.push_back({r.force_n, r.relative, r.x_mm, r.y_mm, r.rising ? 1 : 0});
  }
  return out;
}

void FillFrom(const ordered_json& j, Calibration& c) {
  c.channels = j.at("channels").get<std::vector<std::string>>();
  c.rows = j.at("rows").get<int>();
  ReadParts(j, c);
  ReadCurves(j.at("curve"), c);
  c.relative = ReadRelative(j.at("relative"));
  c.left_out_rms = Optional(j.at("left_out_position_error").at("rms"));
  c.left_out_max = Optional(j.at("left_out_position_error").at("max"));
  c.expanded_relative_u95 = j.at("expanded_relative_u95").get<double>();
  c.force_low_n = j.at("force_range_n").at(0).get<double>();
  c.force_high_n = j.at("force_range_n").at(1).get<double>();
  c.gravity_m_s2 = j.at("gravity_m_s2").get<double>();
  for (const auto& w : j.at("warnings")) {
    c.warnings.push_back(
        {w.at("code").get<std::string>(), w.at("text").get<std::string>()});
  }
  c.estimator = ReadEstimator(j.at("estimator_model"));
  c.relative_standard_u = j.at("relative_standard_u").get<double>();
  c.absolute_standard_u_n = j.at("absolute_standard_u_n").get<double>();
  c.place_seen = j.at("place_seen").get<bool>();
  c.area = ReadPlaces(j.at("area"));
  // Calibrations stored before the map was learnt have none.
  if (j.contains("channel_map")) {
    c.channel_map = ReadChannelMap(j.at("channel_map"));
  }
  for (const auto& r : j.at("residuals")) {
    c.residuals.push_back({r.at(0).get<double>(), r.at(1).get<double>(),
                           r.at(2).get<double>(), r.at(3).get<double>(),
                           r.at(4).get<int>() == 1});
  }
}

}  // namespace

std::string CurveForm(const CalibrationCurve& curve) {
  std::string form = "v =";
  for (std::size_t k = 0; k < curve.b.size(); ++k) {
    const bool fixed = k == 0 && curve.b[0] == 0.0 && curve.se[0] == 0.0;
    if (fixed) continue;
    form += form.size() > 3 ? " + " : " ";
    form += "b" + std::to_string(k);
    if (k >= 1) form += " F";
    if (k >= 2) form += "^" + std::to_string(k);
  }
  return form;
}

std::string EstimatorWords(const Estimator& e) {
  std::string words;
  switch (e.form) {
    case EstimatorForm::kSum:
      words = "one factor for the sum of all channels";
      break;
    case EstimatorForm::kGains:
      words = "a factor for each channel";
      break;
    case EstimatorForm::kSurface:
      words = "the sum of all channels, corrected over the area of the grip";
      break;
    case EstimatorForm::kCentre:
      words = "a factor for each channel, corrected by the centre of force";
      break;
    case EstimatorForm::kPairs:
      words = "a factor for each channel, corrected by pairs of channels";
      break;
    case EstimatorForm::kQuartic:
      words =
          "a factor for each channel, corrected by the centre of force up "
          "to the fourth power";
      break;
    case EstimatorForm::kCurve:
      words = e.curve.size() > 2 ? "the inverse of the calibration curve"
                                 : "the inverse of the calibration line";
      break;
  }
  return e.curvature ? words + ", and for each channel's curvature" : words;
}

ordered_json CalibrationAnswer(const Calibration& c, std::int64_t id) {
  ordered_json j = {
      {"calibration", id},
      {"channels", c.channels},
      {"estimator", EstimatorWords(c.estimator)},
      {"rows", c.rows},
      {"curve", CurvesJson(c)},
      {"relative", RelativeJson(c.relative)},
      {"left_out_position_error",
       {{"rms", OrNull(c.left_out_rms)}, {"max", OrNull(c.left_out_max)}}},
      {"expanded_relative_u95", c.expanded_relative_u95},
      {"force_range_n", {c.force_low_n, c.force_high_n}},
      {"gravity_m_s2", c.gravity_m_s2}};
  AddParts(c, j);
  j["warnings"] = WarningsJson(c.warnings);
  return j;
}

std::string CalibrationDocument(const Calibration& c) {
  ordered_json j = CalibrationAnswer(c, 0);
  j.erase("calibration");
  j["document"] = 1;  // its form; raised when a field changes its meaning
  j["estimator_model"] = EstimatorJson(c.estimator);
  j["relative_standard_u"] = c.relative_standard_u;
  j["absolute_standard_u_n"] = c.absolute_standard_u_n;
  j["place_seen"] = c.place_seen;
  j["area"] = PlacesJson(c.area);
  j["channel_map"] = ChannelMapJson(c.channel_map);
  j["residuals"] = ResidualsJson(c.residuals);
  return j.dump();
}

Expected<Calibration> ParseCalibrationDocument(const std::string& text) {
  // The only place where nlohmann's exceptions are met: at() and get().
  try {
    Calibration c;
    FillFrom(ordered_json::parse(text), c);
    return c;
  } catch (const nlohmann::json::exception& error) {
    return BadInput("", std::string("the stored calibration cannot be read: ") +
                            error.what());
  }
}

}  // namespace masseter
