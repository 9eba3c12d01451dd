#include <fmt/format.h>

#include <cmath>
#include <map>

#include "app/calibrate_book.h"
#include "app/calibration_json.h"
#include "cli/command.h"
#include "core/metrology/gravity.h"
#include "report/figure_text.h"
#include "report/text_table.h"

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
};

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
  }
  return out;
}

std::string TermText(const std::optional<double>& term) {
  return term ? PercentText(*term) : "not known";
}

std::string Words(const CalibrateAnswer& answer) {
  const Calibration& c = answer.calibration;
  const bool utf8 = TerminalIsUtf8();
  std::string out = fmt::format(
      "Calibration {}: {}, from {} readings.\n"
      "Good for forces from {:.0f} to {:.0f} N; expanded uncertainty {} of the "
      "force (95 %).\n",
      answer.id, EstimatorWords(c.estimator), c.rows, c.force_low_n,
      c.force_high_n, PercentText(c.expanded_relative_u95));
  out += fmt::format("Gravity {:.5f} m/s2.\n", c.gravity_m_s2);
  if (c.curve) {
    out += "\n" + CurveForm(*c.curve) + "\n";
    TextTable curve;
    curve.AddColumn("", Align::kLeft);
    curve.AddColumn("value", Align::kRight);
    curve.AddColumn("standard error", Align::kRight);
    for (std::size_t k = 0; k < c.curve->b.size(); ++k) {
      curve.AddRow({"b" + std::to_string(k),
                    fmt::format("{:.9g}", c.curve->b[k]),
                    fmt::format("{:.4g}", c.curve->se[k])});
    }
    curve.AddRow(
        {"residual sd", fmt::format("{:.9g}", c.curve->residual_sd), ""});
    out += curve.Text(utf8);
  }
  TextTable terms;
  terms.AddColumn("of the force", Align::kLeft);
  terms.AddColumn("", Align::kPoint);
  terms.AddColumn("says", Align::kLeft);
  terms.AddRow({"repeatability", TermText(c.relative.repeatability),
                "the same load given again in one placing"});
  terms.AddRow({"reproducibility", TermText(c.relative.reproducibility),
                "the same load placed anew"});
  terms.AddRow({"interpolation", TermText(c.relative.interpolation),
                "load levels against the curve"});
  terms.AddRow({"reversibility", TermText(c.relative.reversibility),
                "falling against rising loads"});
  terms.AddRow({"zero return", TermText(c.relative.zero_return),
                "zero after a series, of the largest load"});
  terms.AddRow({"off centre", TermText(c.relative.off_centre),
                "between places, after the correction"});
  terms.AddRow({"left-out place", TermText(c.left_out_rms),
                "error at a place that took no part in the fit"});
  terms.AddRow({"resolution", TermText(c.relative.resolution),
                "one digit, at half the largest load"});
  terms.AddRow({"reference", TermText(c.relative.reference),
                "the loads themselves; weights taken as OIML class M3"});
  out += "\n" + terms.Text(utf8);
  if (!c.warnings.empty()) out += "\n";
  for (const CalibrationWarning& w : c.warnings) {
    out += TerminalText("! " + w.code + ": " + w.text, utf8) + "\n";
  }
  return out;
}

Expected<void> Run(const Options& o, bool json) {
  const auto options = ToCalibrateOptions(o);
  if (!options) return tl::unexpected(options.error());
  const auto answer = CalibrateBook(o.book, o.readings, *options);
  if (!answer) return tl::unexpected(answer.error());
  if (json)
    return PrintJson(CalibrationAnswer(answer->calibration, answer->id));
  return Print(Words(*answer));
}

}  // namespace

void AddCalibrate(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  CLI::App* command = app.add_subcommand(
      "calibrate", "Fit, judge and store a calibration from bench readings");
  command->add_option("BOOK", o->book, "The logbook")->required();
  command->add_option("READINGS", o->readings, "The readings (CSV)")
      ->required();
  command->add_option("--gravity", o->gravity, "Local gravity, m/s2");
  command->add_option("--latitude", o->latitude,
                      "Latitude in degrees, for the gravity (GRS80)");
  command->add_option("--height", o->height, "Height above the sea, m");
  command->add_option("--air-density", o->air_density,
                      "Density of the air, kg/m3, for its buoyancy (1.2)");
  command->add_option("--curve", o->curve,
                      "One channel: linear, quadratic, cubic or auto");
  command->add_flag("--no-zero", o->no_zero,
                    "Fit the readings as given, without taking zeros off");
  Bind<Options>(*command, call, o,
                "masseter calibrate day.book readings.csv --latitude 52.1 "
                "--height 30",
                Run);
}

}  // namespace masseter::cli
