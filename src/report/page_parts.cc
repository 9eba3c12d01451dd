#include "report/page_parts.h"

#include <string>

#include "report/report_style.h"
#include "report/svg_axis.h"

namespace masseter::report {

void PageHead(HtmlWriter& w, std::string_view title, std::string_view style) {
  const Scope head(w, "head");
  w.Void("meta", {{"charset", "utf-8"}});
  w.Void("meta", {{"name", "viewport"},
                  {"content", "width=device-width,initial-scale=1"}});
  w.Void("meta",
         {{"http-equiv", "Content-Security-Policy"},
          {"content", "default-src 'none'; style-src 'unsafe-inline'"}});
  w.Leaf("title", title);
  w.Open("style");
  w.Trusted(StyleSheet());
  if (!style.empty()) w.Trusted(style);
  w.Close();
  w.Line();
}

void SvgLine(HtmlWriter& w, std::string_view cls, double x1, double y1,
             double x2, double y2) {
  w.Shape("line", {{"class", std::string(cls)},
                   {"x1", Coordinate(x1)},
                   {"y1", Coordinate(y1)},
                   {"x2", Coordinate(x2)},
                   {"y2", Coordinate(y2)}});
}

void SvgText(HtmlWriter& w, double x, double y, std::string_view text,
             std::string_view cls, std::string_view anchor) {
  w.Leaf("text", text,
         {{"class", std::string(cls)},
          {"x", Coordinate(x)},
          {"y", Coordinate(y)},
          {"text-anchor", std::string(anchor)}});
}

}  // namespace masseter::report
