#include "cli/calibrate_words.h"

#include <fmt/format.h>

#include <cmath>

#include "app/calibration_json.h"
#include "cli/command.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

std::string TermText(const std::optional<double>& term) {
  return term ? PercentText(*term) : "not known";
}

std::string SignedPercent(const std::optional<double>& value) {
  if (!value) return "-";
  if (*value == 0.0) return "0 %";
  return (*value < 0.0 ? "-" : "+") + PercentText(std::abs(*value));
}

std::string CurveWords(const CalibrationCurve& curve, bool utf8) {
  TextTable table;
  table.AddColumn("", Align::kLeft);
  table.AddColumn("value", Align::kRight);
  table.AddColumn("standard error", Align::kRight);
  for (std::size_t k = 0; k < curve.b.size(); ++k) {
    table.AddRow({"b" + std::to_string(k), fmt::format("{:.9g}", curve.b[k]),
                  fmt::format("{:.4g}", curve.se[k])});
  }
  table.AddRow({"residual sd", fmt::format("{:.9g}", curve.residual_sd), ""});
  return "\n" + CurveForm(curve) + "\n" + table.Text(utf8);
}

std::string TermsTable(const Calibration& c, bool utf8) {
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
  terms.AddRow({"creep", TermText(c.relative.creep),
                "while a load stands; needs one load read for minutes (t_s)"});
  terms.AddRow({"off centre", TermText(c.relative.off_centre),
                "between places, after the correction"});
  terms.AddRow({"left-out place", TermText(c.left_out_rms),
                "error at a place that took no part in the fit"});
  terms.AddRow({"resolution", TermText(c.relative.resolution),
                "one digit, at half the largest load"});
  if (c.relative.temperature) {
    terms.AddRow({"temperature", TermText(c.relative.temperature),
                  "of the span, for a field within 15 K of the bench"});
  }
  terms.AddRow(
      {"reference", TermText(c.relative.reference), "the loads themselves"});
  return "\n" + terms.Text(utf8);
}

std::string ReferenceTable(const Calibration& c, bool utf8) {
  TextTable table;
  table.AddColumn("reference force", Align::kLeft);
  table.AddColumn("value", Align::kPoint);
  table.AddColumn("adds", Align::kPoint);
  table.AddColumn("from", Align::kLeft);
  for (const ReferenceTerm& line : c.reference_budget) {
    const std::string value =
        line.unit == "1" && line.value == 1.0
            ? ""
            : fmt::format("{:.6g}{}{}", line.value, line.unit == "1" ? "" : " ",
                          line.unit == "1" ? "" : line.unit);
    table.AddRow({line.term, value, PercentText(line.contribution), line.from});
  }
  return "\n" + table.Text(utf8);
}

std::string PlacesTable(const Calibration& c, bool utf8) {
  if (c.position_map.size() < 2) return "";
  TextTable table;
  table.AddColumn("x mm", Align::kRight);
  table.AddColumn("y mm", Align::kRight);
  table.AddColumn("loads", Align::kRight);
  table.AddColumn("left-out error", Align::kPoint);
  table.AddColumn("with a single factor", Align::kPoint);
  for (const PositionFacts& p : c.position_map) {
    table.AddRow({fmt::format("{:.0f}", p.place.x_mm),
                  fmt::format("{:.0f}", p.place.y_mm), std::to_string(p.rows),
                  SignedPercent(p.left_out_error),
                  SignedPercent(p.single_factor_error)});
  }
  std::string out = "\n" + table.Text(utf8);
  if (c.single_factor) {
    out += fmt::format(
        "One factor for everything, found at x {:.0f}, y {:.0f} mm, would be "
        "off by {} (rms), {} at the worst place.\n",
        c.single_factor->place.x_mm, c.single_factor->place.y_mm,
        PercentText(c.single_factor->rms),
        SignedPercent(c.single_factor->worst));
  }
  return out;
}

std::string BentChannels(const Calibration& c) {
  std::string out;
  for (const ChannelFacts& channel : c.channel_facts) {
    if (!channel.bent) continue;
    out += fmt::format("Channel {} is bent by {} at the largest load.\n",
                       channel.name, SignedPercent(channel.curvature));
  }
  return out.empty() ? out : "\n" + out;
}

std::string ClassWords(const Calibration& c) {
  if (!c.iso376) return "ISO 376: no class: readings fitted as given.";
  const Iso376& iso = *c.iso376;
  return "ISO 376: " +
         (iso.class_word ? "class " + *iso.class_word : "no class") + ": " +
         iso.class_reason + ".";
}

}  // namespace

std::string CalibrateWords(const CalibrateAnswer& answer) {
  const Calibration& c = answer.calibration;
  const bool utf8 = TerminalIsUtf8();
  std::string out = fmt::format(
      "Calibration {}: {}, from {} readings.\n"
      "Good for forces from {:.0f} to {:.0f} N; expanded uncertainty {} of the "
      "force (95 %).\n",
      answer.id, EstimatorWords(c.estimator), c.rows, c.force_low_n,
      c.force_high_n, PercentText(c.expanded_relative_u95));
  if (c.curve) out += CurveWords(*c.curve, utf8);
  out += TermsTable(c, utf8);
  out += PlacesTable(c, utf8);
  out += ReferenceTable(c, utf8);
  out += BentChannels(c);
  out += "\n" + TerminalText(ClassWords(c), utf8) + "\n";
  if (!c.warnings.empty()) out += "\n";
  for (const CalibrationWarning& w : c.warnings) {
    out += TerminalText("! " + w.code + ": " + w.text, utf8) + "\n";
  }
  return out;
}

}  // namespace masseter::cli
