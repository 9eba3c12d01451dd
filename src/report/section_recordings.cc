#include <fmt/format.h>

#include <string>

#include "report/figure_text.h"
#include "report/sections.h"

namespace masseter::report {
namespace {

void RecordingLine(HtmlWriter& w, const ReportCapture& capture) {
  const Scope row(w, "tr");
  w.Leaf("th", fmt::format("{}", capture.id), {{"scope", "row"}});
  w.Leaf("td", capture.source, {{"class", "long"}});
  w.Leaf("td", capture.created.empty() ? "–" : capture.created,
         {{"class", "when"}});
  for (const std::string& text :
       {GroupedText(capture.samples), ClockText(capture.length_s),
        FixedText(capture.rate_hz, 1), fmt::format("{}", capture.gaps),
        GroupedText(capture.broken_lines)}) {
    w.Leaf("td", text, {{"class", "n"}});
  }
  w.Line();
}

}  // namespace

void WriteRecordings(HtmlWriter& w, const ReportModel& model) {
  const Scope section(w, "section", {{"id", "recordings"}});
  w.Leaf("h2", "The recordings");
  if (model.captures.empty()) {
    w.Leaf("p", "Nothing was recorded.");
    return;
  }
  {
    const Scope wide(w, "div", {{"class", "wide"}});
    const Scope table(w, "table");
    w.Leaf("caption",
           fmt::format("The rig file names {} samples a second; the rate "
                       "here is the one that was measured.",
                       FixedText(model.nominal_rate_hz, 0)));
    {
      const Scope head(w, "thead");
      const Scope row(w, "tr");
      for (const char* text : {"No.", "From", "Made"}) {
        w.Leaf("th", text, {{"scope", "col"}});
      }
      for (const char* text :
           {"Samples", "Length", "Rate (1/s)", "Gaps", "Broken lines"}) {
        w.Leaf("th", text, {{"scope", "col"}, {"class", "n"}});
      }
    }
    const Scope body(w, "tbody");
    for (const ReportCapture& capture : model.captures) {
      RecordingLine(w, capture);
    }
  }
  const Scope list(w, "ul", {{"class", "reasons"}});
  bool any = false;
  for (const ReportCapture& capture : model.captures) {
    for (const std::string& text : capture.warnings) {
      w.Leaf("li", fmt::format("Recording {}: {}", capture.id, text));
      any = true;
    }
  }
  if (!any) w.Leaf("li", "No warning was given for any recording.");
}

}  // namespace masseter::report
