#include "report/report_html.h"

#include "report/html_writer.h"
#include "report/page_parts.h"
#include "report/report_style.h"
#include "report/report_summary.h"
#include "report/sections.h"

namespace masseter {
namespace {

using report::HtmlWriter;
using report::Scope;

void Contents(HtmlWriter& w, const ReportModel& model) {
  const Scope nav(w, "nav", {{"aria-label", "In this report"}});
  w.Leaf("a", "The day", {{"href", "#day"}});
  if (model.comparison) {
    w.Leaf("a", "The dogs compared", {{"href", "#compared"}});
  }
  for (const ReportDog& dog : model.dogs) {
    if (dog.bites.empty()) continue;
    w.Leaf("a", report::DogTitle(dog),
           {{"href", "#" + report::DogAnchor(model, dog)}});
  }
  w.Leaf("a", "The calibration", {{"href", "#calibration"}});
  w.Leaf("a", "The recordings", {{"href", "#recordings"}});
  w.Leaf("a", "The method", {{"href", "#method"}});
  w.Leaf("a", "What was left out", {{"href", "#exclusions"}});
  w.Leaf("a", "What the figures do not mean", {{"href", "#meaning"}});
  w.Leaf("a", "Cautions", {{"href", "#cautions"}});
  w.Line();
}

}  // namespace

std::string ReportHtml(const ReportModel& model) {
  HtmlWriter w;
  w.Trusted("<!doctype html>\n");
  w.Open("html", {{"lang", "en"}});
  w.Line();
  report::PageHead(w, model.title, "");
  w.Open("body");
  w.Line();
  report::WriteFront(w, model);
  Contents(w, model);
  report::WriteDay(w, model);
  report::WriteCompared(w, model);
  report::WriteDogs(w, model);
  report::WriteCalibration(w, model);
  report::WriteRecordings(w, model);
  report::WriteMethod(w, model);
  std::string html = w.Take();
  html += '\n';
  return html;
}

}  // namespace masseter
