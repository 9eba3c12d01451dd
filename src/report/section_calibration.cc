#include <fmt/format.h>

#include <array>
#include <cmath>
#include <string>
#include <utility>

#include "report/figure_text.h"
#include "report/sections.h"

namespace masseter::report {
namespace {

// What each term means in one line; the names follow ISO 376's quantities.
std::string_view MeaningOf(std::string_view term) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 9>
      kMeanings = {{
          {"repeatability", "the same load again, nothing moved"},
          {"reproducibility", "the same load again, placed anew"},
          {"interpolation", "what the fitted form leaves over"},
          {"reversibility", "rising against falling loads"},
          {"zero_return", "zero after the loads against zero before"},
          {"off_centre", "the same load at different places"},
          {"resolution", "the smallest step that is shown"},
          {"reference", "the weights or the reference transducer"},
          {"creep", "change under a load that stands"},
      }};
  for (const auto& [name, meaning] : kMeanings) {
    if (name == term) return meaning;
  }
  return "";
}

std::string Words(std::string term) {
  for (char& c : term) {
    if (c == '_') c = ' ';
  }
  return term;
}

void Fact(HtmlWriter& w, std::string_view name, const std::string& value) {
  const Scope row(w, "tr");
  w.Leaf("th", name, {{"scope", "row"}});
  w.Leaf("td", value);
}

void Facts(HtmlWriter& w, const ReportCalibration& cal) {
  const Scope table(w, "table", {{"class", "facts"}});
  const Scope body(w, "tbody");
  Fact(w, "Calibration", fmt::format("no. {}, {}", cal.id, cal.created));
  Fact(w, "From signals to force", cal.estimator);
  Fact(w, "Readings", fmt::format("{}", cal.rows));
  Fact(w, "Calibrated range",
       fmt::format("{} to {} N", FixedText(cal.force_low_n, 1),
                   FixedText(cal.force_high_n, 1)));
  Fact(w, "Local gravity",
       cal.gravity_m_s2 > 0.0 ? FixedText(cal.gravity_m_s2, 5) + " m/s²"
                              : "not needed");
  Fact(w, "Expanded uncertainty, 95 %",
       cal.expanded_relative_u95
           ? "±" + PercentText(*cal.expanded_relative_u95) + " of the force"
           : "not stated");
  if (cal.left_out_rms) {
    Fact(w, "Positions left out in turn",
         fmt::format("{} typical error{}", PercentText(*cal.left_out_rms),
                     cal.left_out_max
                         ? ", " + PercentText(*cal.left_out_max) + " at most"
                         : ""));
  }
}

void Terms(HtmlWriter& w, const ReportCalibration& cal) {
  if (cal.relative.empty()) return;
  const Scope wide(w, "div", {{"class", "wide whole"}});
  const Scope table(w, "table");
  w.Leaf("caption",
         "Terms of the calibration, relative to the force. A dash: the "
         "readings do not show it.");
  {
    const Scope head(w, "thead");
    const Scope row(w, "tr");
    w.Leaf("th", "Term", {{"scope", "col"}});
    w.Leaf("th", "Size", {{"scope", "col"}, {"class", "n"}});
    w.Leaf("th", "Meaning", {{"scope", "col"}});
  }
  const Scope body(w, "tbody");
  for (const auto& [term, size] : cal.relative) {
    const Scope row(w, "tr");
    w.Leaf("th", Words(term), {{"class", "who"}, {"scope", "row"}});
    w.Leaf("td", size ? Typographic(PercentText(*size)) : "–",
           {{"class", "n"}});
    w.Leaf("td", MeaningOf(term));
  }
}

void Warnings(HtmlWriter& w, const ReportCalibration& cal) {
  if (cal.warnings.empty()) {
    w.Leaf("p", "The calibration gave no warning.");
    return;
  }
  const Scope list(w, "ul", {{"class", "reasons"}});
  for (const std::string& text : cal.warnings) w.Leaf("li", text);
}

}  // namespace

void WriteCalibration(HtmlWriter& w, const ReportModel& model) {
  const Scope section(w, "section", {{"class", "page"}, {"id", "calibration"}});
  w.Leaf("h2", "The calibration");
  if (!model.calibration) {
    w.Leaf("p",
           "There is no calibration. Nobody compared this sleeve with a known "
           "force, so nothing here shows that its newtons are newtons. Bites "
           "can be compared with each other at most, and only at one place of "
           "the sleeve.",
           {{"class", "plain"}});
    return;
  }
  const ReportCalibration& cal = *model.calibration;
  Facts(w, cal);
  Warnings(w, cal);
  if (!cal.residuals.empty()) {
    WriteErrorOverForce(w, cal);
    WriteErrorByPosition(w, cal);
  }
  Terms(w, cal);
  w.Line();
}

}  // namespace masseter::report
