#include "report/plan_sheet.h"

#include <fmt/format.h>

#include "report/html_writer.h"

namespace masseter::report {
namespace {

constexpr std::string_view kStyle = R"css(
@page{size:A4;margin:14mm 14mm 16mm}
*{box-sizing:border-box}
body{margin:0 auto;max-width:182mm;padding:16px;color:#1a1c1f;background:#fff;
font:15px/1.4 -apple-system,"Segoe UI",Roboto,"Liberation Sans",Arial,sans-serif}
h1{font-size:22px;margin:0 0 4px}
h2{font-size:16px;margin:18px 0 6px;break-after:avoid}
p{margin:4px 0}
ul{margin:4px 0;padding-left:18px}
.head{display:grid;grid-template-columns:repeat(3,1fr);gap:10px 18px;margin:14px 0}
.head span{display:block;border-bottom:1px solid #54585e;color:#54585e;
font-size:12px;height:30px}
.care{border:1.5px solid #1a1c1f;padding:8px 14px;font-size:13.5px;break-inside:avoid}
.care h2{margin:0 0 4px}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
th{text-align:left;font-weight:600;font-size:12.5px;border-bottom:1.5px solid #1a1c1f;
padding:4px 8px 4px 0;vertical-align:bottom}
td{border-bottom:1px solid #b9b5ab;padding:5px 8px 5px 0;height:28px}
tr{break-inside:avoid}
thead{display:table-header-group}
.dog{font-weight:600;overflow-wrap:anywhere}
.box{width:22px}.box i{display:block;width:14px;height:14px;border:1.5px solid #1a1c1f}
.n{text-align:right}
.write{width:22%}
.try td{color:#54585e;background:#f1efe9}
@media (max-width:560px){.head{grid-template-columns:1fr 1fr}td,th{padding-right:5px}}
@media print{body{padding:0;max-width:none;font-size:10.5pt}.care{font-size:9pt}
*{print-color-adjust:exact;-webkit-print-color-adjust:exact}}
)css";

void Head(HtmlWriter& w) {
  const Scope head(w, "div", {{"class", "head"}});
  for (const char* field : {"Date and place", "Helper",
                            "Dogs' handler in charge", "Sleeve and its cover",
                            "Weather, temperature", "First bite at (clock)"}) {
    w.Leaf("span", field);
  }
  w.Line();
}

void Cautions(HtmlWriter& w) {
  const Scope care(w, "section", {{"class", "care"}});
  w.Leaf("h2", "Before the first bite");
  const Scope list(w, "ul");
  for (const std::string_view text : PlanCautions()) w.Leaf("li", text);
  w.Line();
}

void Turn(HtmlWriter& w, const PlanSheet& sheet, const PlanSheetTurn& t,
          std::size_t number) {
  const Scope row(w, "tr", {{"class", t.bite == "practice" ? "try" : "turn"}});
  {
    const Scope cell(w, "td", {{"class", "box"}});
    w.Leaf("i", "");
  }
  w.Leaf("td", fmt::format("{}", number), {{"class", "n"}});
  w.Leaf("td", t.clock, {{"class", "n"}});
  w.Leaf("td", t.dog, {{"class", "dog"}});
  w.Leaf("td", t.bite);
  if (sheet.conditions) w.Leaf("td", t.condition);
  w.Leaf("td", "", {{"class", "write"}});
  w.Leaf("td", "", {{"class", "write"}});
  w.Line();
}

void TableHead(HtmlWriter& w, const PlanSheet& sheet) {
  const Scope head(w, "thead");
  const Scope row(w, "tr");
  w.Leaf("th", "done");
  w.Leaf("th", "turn", {{"class", "n"}});
  w.Leaf("th", "from", {{"class", "n"}});
  w.Leaf("th", "dog");
  w.Leaf("th", "bite");
  if (sheet.conditions) w.Leaf("th", "condition");
  w.Leaf("th", "bite id, peak");
  w.Leaf("th", "remarks");
}

}  // namespace

const std::vector<std::string_view>& PlanCautions() {
  static const std::vector<std::string_view> kCautions = {
      ("How many bites a dog may do, and how long it rests, is the word of its "
       "trainer and its veterinarian, not of this sheet. No published limit is "
       "known; a dog that tires, limps, coughs or lets go oddly is done."),
      ("Look into every dog's mouth first. A dog with a broken or loose tooth, "
       "sore gums or a stiff jaw does not bite."),
      ("Heat: shade and water between turns, short turns; watch a dog for a "
       "quarter of an hour after work. Stop when in doubt."),
      ("Measure with standing or short-distance bites where the question "
       "allows it: the run-up is what loads neck, back and teeth."),
      ("The helper wears full protection besides the sleeve and watches the "
       "dog, not a screen. A second person reads and writes."),
      ("No loose cable, no sharp edge, no open lithium cell under the bite. A "
       "swollen, hot or punctured cell: stop, get away, let it burn out in the "
       "open."),
      "Local rules on protection work, animals and insurance apply."};
  return kCautions;
}

std::string PlanSheetHtml(const PlanSheet& sheet) {
  HtmlWriter w;
  w.Trusted("<!doctype html>\n");
  w.Open("html", {{"lang", "en"}});
  {
    const Scope head(w, "head");
    w.Void("meta", {{"charset", "utf-8"}});
    w.Void("meta", {{"name", "viewport"},
                    {"content", "width=device-width, initial-scale=1"}});
    w.Leaf("title", "Running order");
    w.Open("style");
    w.Trusted(kStyle);
    w.Close();
  }
  w.Line();
  const Scope body(w, "body");
  w.Leaf("h1", "Running order");
  w.Leaf("p", sheet.question);
  {
    const Scope list(w, "ul");
    for (const std::string& fact : sheet.facts) w.Leaf("li", fact);
  }
  Head(w);
  Cautions(w);
  std::size_t at = 0;
  while (at < sheet.turns.size()) {
    const int day = sheet.turns[at].day;
    if (sheet.turns.back().day > 1) {
      w.Leaf("h2", fmt::format("Day {}", day));
    } else {
      w.Leaf("h2", "Turns");
    }
    const Scope table(w, "table");
    TableHead(w, sheet);
    const Scope rows(w, "tbody");
    w.Line();
    for (; at < sheet.turns.size() && sheet.turns[at].day == day; ++at) {
      Turn(w, sheet, sheet.turns[at], at + 1);
    }
  }
  std::string html = w.Take();
  html += '\n';
  return html;
}

}  // namespace masseter::report
