#include "report/health_html.h"

#include <fmt/format.h>

#include <algorithm>

#include "report/figure_text.h"
#include "report/health_pictures.h"
#include "report/health_style.h"
#include "report/page_parts.h"
#include "report/report_style.h"
#include "report/svg_plot.h"
#include "report/utf8.h"

namespace masseter {
namespace {

using report::HtmlWriter;
using report::Scope;

constexpr std::size_t kLongestTitle = 60;

// The shapes and colours of the verdicts: disc, half disc, ring with a bar.
Verdict ShapeOf(HealthLevel level) {
  switch (level) {
    case HealthLevel::kGo:
      return Verdict::kSound;
    case HealthLevel::kWatch:
      return Verdict::kDoubtful;
    case HealthLevel::kNoGo:
      break;
  }
  return Verdict::kVoid;
}

std::string ColourOf(HealthLevel level) {
  return std::string(report::VerdictClass(ShapeOf(level)));
}

std::string_view LargeWord(HealthLevel level) {
  switch (level) {
    case HealthLevel::kGo:
      return "Go";
    case HealthLevel::kWatch:
      return "Watch";
    case HealthLevel::kNoGo:
      break;
  }
  return "No-go";
}

std::size_t CountOf(const CaptureHealth& h, HealthLevel level) {
  return static_cast<std::size_t>(std::count_if(
      h.lines.begin(), h.lines.end(),
      [level](const HealthLine& line) { return line.level == level; }));
}

void Title(HtmlWriter& w, const HealthModel& model) {
  const Scope header(w, "header");
  {
    const Scope left(w, "div");
    w.Leaf("p", "Fit for a field day?", {{"class", "kind"}});
    w.Leaf("h1", report::CutTo(model.title, kLongestTitle));
  }
  const Scope right(w, "div", {{"class", "which"}});
  w.Leaf("strong", report::CutTo(model.capture, kLongestTitle));
  w.Leaf("span",
         fmt::format("{} samples in {}", GroupedText(model.health.samples),
                     ClockText(model.health.duration_s)));
}

void Answer(HtmlWriter& w, const CaptureHealth& health) {
  const Scope answer(w, "div", {{"class", "answer"}});
  {
    const Scope word(w, "p", {{"class", "word " + ColourOf(health.level)}});
    report::InlineShape(w, ShapeOf(health.level), false);
    w.Leaf("span", LargeWord(health.level));
  }
  w.Leaf("p", HealthConclusion(health), {{"class", "so"}});
}

// A number and its unit stay on one line.
std::string Together(const std::string& text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool unit = text[i] == ' ' && i > 0 && text[i - 1] >= '0' &&
                      text[i - 1] <= '9' && i + 1 < text.size() &&
                      (text[i + 1] == '%' || text[i + 1] == 'N' ||
                       text.compare(i + 1, 2, "mV") == 0);
    out += unit ? std::string("\u00a0") : std::string(1, text[i]);
  }
  return out;
}

// What stands in the way first.
void ToDo(HtmlWriter& w, const CaptureHealth& health) {
  if (health.level == HealthLevel::kGo) return;
  const Scope part(w, "section");
  w.Leaf("h2", "What to do");
  const Scope list(w, "ul", {{"class", "do"}});
  for (const HealthLevel level : {HealthLevel::kNoGo, HealthLevel::kWatch}) {
    for (const HealthLine& line : health.lines) {
      if (line.level != level) continue;
      const Scope item(w, "li", {{"class", ColourOf(level)}});
      w.Leaf("b", line.what + ": " + Together(Typographic(line.found)));
      w.Void("br");
      w.Leaf("span", line.advice);
    }
  }
}

void Row(HtmlWriter& w, const HealthLine& line) {
  const Scope row(w, "tr");
  const bool held = line.level != HealthLevel::kGo;
  {
    const Scope level(w, "td", {{"class", "level " + ColourOf(line.level)}});
    report::InlineShape(w, ShapeOf(line.level), false);
    w.Text(HealthWord(line.level));
  }
  w.Leaf("td", line.what, {{"class", "what"}});
  w.Leaf("td", Together(Typographic(line.found)),
         {{"class", held ? "found held" : "found"}});
  w.Leaf("td", Together(line.limit), {{"class", "limit"}});
  w.Line();
}

void Lines(HtmlWriter& w, const CaptureHealth& health) {
  const Scope part(w, "section");
  w.Leaf("h2", "What was looked at");
  const Scope table(w, "table", {{"class", "lines"}});
  {
    const Scope head(w, "thead");
    const Scope row(w, "tr");
    for (const char* name : {"", "", "Found", "Limits"}) {
      w.Leaf("th", name);
    }
  }
  const Scope body(w, "tbody");
  for (const HealthLine& line : health.lines) Row(w, line);
}

void Pictures(HtmlWriter& w, const HealthPictures& p) {
  const Scope part(w, "section", {{"class", "page"}});
  w.Leaf("h2", "What it looked like");
  report::WriteHealthForce(w, p);
  report::WriteHealthZero(w, p);
  const Scope thirds(w, "div", {{"class", "thirds"}});
  report::WriteHealthSteps(w, p);
  report::WriteHealthNoise(w, p);
  report::WriteHealthSupply(w, p);
}

}  // namespace

std::string HealthConclusion(const CaptureHealth& health) {
  switch (health.level) {
    case HealthLevel::kGo:
      return "Go: nothing stands against a field day.";
    case HealthLevel::kWatch:
      return fmt::format(
          "Go, and watch {}.",
          CountText(CountOf(health, HealthLevel::kWatch), "line"));
    case HealthLevel::kNoGo:
      break;
  }
  return fmt::format("No go: mend {} first.",
                     CountText(CountOf(health, HealthLevel::kNoGo), "line"));
}

std::string HealthHtml(const HealthModel& model) {
  HtmlWriter w;
  w.Trusted("<!doctype html>\n");
  w.Open("html", {{"lang", "en"}});
  w.Line();
  report::PageHead(
      w, fmt::format("{}: {}", model.capture, HealthWord(model.health.level)),
      report::HealthStyle());
  w.Open("body", {{"class", "health"}});
  w.Line();
  Title(w, model);
  Answer(w, model.health);
  ToDo(w, model.health);
  Lines(w, model.health);
  Pictures(w, model.health.pictures);
  w.Leaf("p",
         "This page is about the instrument, not about safety: a trainer, a "
         "veterinarian and licensed practice decide whether a dog bites this "
         "sleeve. A damaged lithium cell is not used. Page made " +
             model.created + ".",
         {{"class", "quiet"}});
  std::string html = w.Take();
  html += '\n';
  return html;
}

}  // namespace masseter
