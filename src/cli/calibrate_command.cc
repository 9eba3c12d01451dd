#include <fmt/format.h>

#include <cmath>
#include <map>

#include "app/calendar_day.h"
#include "app/calibrate_book.h"
#include "app/calibration_json.h"
#include "cli/calibrate_words.h"
#include "cli/command.h"
#include "core/base/text_fields.h"
#include "core/metrology/gravity.h"
#include "core/metrology/weight_class.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::string readings;
  std::optional<double> gravity;
  std::optional<double> latitude;
  double height = 0.0;
  double air_density = 1.2;
  std::string curve = "auto";
  bool no_zero = false;
  std::string weight_class;
  std::string weight_u;
  std::optional<double> weight_density;
  std::string transducer_u;
  std::optional<double> lever;
  std::optional<double> lever_u;
  std::string date;
};

// "0.5%" or "0.005".
Expected<double> Fraction(const std::string& option, const std::string& text) {
  std::string_view number = Trim(text);
  const bool percent = number.ends_with('%');
  if (percent) number.remove_suffix(1);
  const auto value = ParseNumber(Trim(number));
  if (!value || *value < 0.0 || *value > (percent ? 50.0 : 0.5)) {
    return BadInput(option, "must be a fraction such as 0.005 or 0.5%, not \"" +
                                text + "\"");
  }
  return percent ? *value / 100.0 : *value;
}

Expected<void> AddWeights(const Options& o, CalibrateOptions& out) {
  if (!o.weight_class.empty() && !o.weight_u.empty()) {
    return BadInput("--weight-u",
                    "give the class of the weights or what they "
                    "may be off by, not both");
  }
  if (!o.weight_class.empty()) {
    out.weight_class = WeightClassOf(o.weight_class);
    if (!out.weight_class) {
      return BadInput("--weight-class", "must be F1, F2, M1, M2 or M3, not \"" +
                                            o.weight_class + "\"");
    }
  }
  if (!o.weight_u.empty()) {
    const auto u = Fraction("--weight-u", o.weight_u);
    if (!u) return tl::unexpected(u.error());
    out.weight_half_width = *u;
  }
  if (o.weight_density &&
      !(*o.weight_density >= 500.0 && *o.weight_density <= 22000.0)) {
    return BadInput("--weight-density", "must lie between 500 and 22000 kg/m3");
  }
  out.weight_density_kg_m3 = o.weight_density;
  if (!o.transducer_u.empty()) {
    const auto u = Fraction("--transducer-u", o.transducer_u);
    if (!u) return tl::unexpected(u.error());
    out.transducer_u95 = *u;
  }
  return {};
}

Expected<void> AddLever(const Options& o, CalibrateOptions& out) {
  if (o.lever_u && !o.lever) {
    return BadInput("--lever-u", "needs --lever, the factor it belongs to");
  }
  if (o.lever && !(*o.lever > 0.0 && *o.lever <= 100.0)) {
    return BadInput("--lever", "must lie between 0 and 100");
  }
  out.lever = o.lever.value_or(1.0);
  if (o.lever_u && !(*o.lever_u >= 0.0 && *o.lever_u < 0.5 * out.lever)) {
    return BadInput("--lever-u",
                    "must be the half-width of the factor, below half of it");
  }
  // A factor that nobody measured better: 1 % (common practice).
  out.lever_half_width = o.lever_u.value_or(o.lever ? 0.01 * out.lever : 0.0);
  return {};
}

Expected<CalibrateOptions> ToCalibrateOptions(const Options& o) {
  CalibrateOptions out;
  out.air_density_kg_m3 = o.air_density;
  out.zero = !o.no_zero;
  static const std::map<std::string, CurveOrder> kOrders = {
      {"auto", CurveOrder::kAuto},
      {"linear", CurveOrder::kLinear},
      {"quadratic", CurveOrder::kQuadratic},
      {"cubic", CurveOrder::kCubic}};
  const auto order = kOrders.find(o.curve);
  if (order == kOrders.end()) {
    return BadInput("--curve",
                    "must be linear, quadratic, cubic or auto, not "
                    "\"" +
                        o.curve + "\"");
  }
  out.curve = order->second;
  if (!(o.air_density >= 0.0 && o.air_density < 10.0)) {
    return BadInput("--air-density", "must lie between 0 and 10 kg/m3");
  }
  if (o.gravity && o.latitude) {
    return BadInput("--gravity", "give the gravity or the latitude, not both");
  }
  if (o.gravity && !(*o.gravity > 9.7 && *o.gravity < 9.9)) {
    return BadInput("--gravity", "must lie between 9.7 and 9.9 m/s2 on Earth");
  }
  out.gravity_m_s2 = o.gravity;
  if (o.latitude) {
    const auto g = NormalGravity(*o.latitude, o.height);
    if (!g) return BadInput("--latitude", g.error().what);
    out.gravity_m_s2 = g->si();
    out.gravity_from_latitude = true;
  }
  if (auto ok = AddWeights(o, out); !ok) return tl::unexpected(ok.error());
  if (auto ok = AddLever(o, out); !ok) return tl::unexpected(ok.error());
  if (!o.date.empty() && !ParseDay(o.date)) {
    return BadInput("--date",
                    "must be a day such as 2026-05-16, not \"" + o.date + "\"");
  }
  out.performed_on = o.date;
  return out;
}

Expected<void> Run(const Options& o, bool json) {
  const auto options = ToCalibrateOptions(o);
  if (!options) return tl::unexpected(options.error());
  const auto answer = CalibrateBook(o.book, o.readings, *options);
  if (!answer) return tl::unexpected(answer.error());
  if (json)
    return PrintJson(CalibrationAnswer(answer->calibration, answer->id));
  return Print(CalibrateWords(*answer));
}

}  // namespace

void AddCalibrate(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "calibrate",
                  "Fit, judge and store a calibration from bench readings");
  command.Add("BOOK", o->book, "The logbook").Required();
  command.Add("READINGS", o->readings, "The readings (CSV)").Required();
  command.Add("--gravity", o->gravity, "Local gravity, m/s2");
  command.Add("--latitude", o->latitude,
              "Latitude in degrees, for the gravity (GRS80)");
  command.Add("--height", o->height, "Height above the sea, m");
  command.Add("--air-density", o->air_density,
              "Density of the air, kg/m3, for its buoyancy (1.2)");
  command.Add("--weight-class", o->weight_class,
              "OIML R 111 class of the weights: F1, F2, M1, M2, M3");
  command.Add("--weight-u", o->weight_u,
              "Or what the weights may be off by: 0.5% or 0.005");
  command.Add("--weight-density", o->weight_density,
              "Density of the weights, kg/m3 (8000)");
  command.Add("--transducer-u", o->transducer_u,
              "force_n: the reference's expanded uncertainty, k = 2 "
              "(0.24%)");
  command.Add("--lever", o->lever,
              "Factor of a lever or pulley: force on the sleeve over "
              "force of the load");
  command.Add("--lever-u", o->lever_u,
              "What that factor may be off by (1 % of it)");
  command.Add("--date", o->date, "The day of the readings, YYYY-MM-DD (today)");
  command.Add("--curve", o->curve,
              "One channel: linear, quadratic, cubic or auto");
  command.AddFlag("--no-zero", o->no_zero,
                  "Fit the readings as given, without taking zeros off");
  Bind<Options>(command, call, o,
                "masseter calibrate day.book readings.csv --latitude 52.1 "
                "--height 30",
                Run);
}

}  // namespace masseter::cli
