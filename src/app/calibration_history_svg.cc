#include <algorithm>
#include <cmath>

#include "app/calendar_day.h"
#include "app/calibration_history.h"
#include "report/figure_text.h"
#include "report/html_writer.h"
#include "report/svg_axis.h"

namespace masseter {
namespace {

using report::Axis;
using report::Coordinate;
using report::HtmlWriter;

constexpr double kWidth = 720.0;
constexpr double kHeight = 380.0;
constexpr double kDayS = 86400.0;

constexpr std::string_view kStyle =
    "text{font:13px Charter,Georgia,serif;fill:#54585e}"
    ".name{font-size:17px;fill:#1a1c1f}"
    ".grid{stroke:#d9d5cb}.zero{stroke:#54585e}"
    ".bar{stroke:#0b4f8a;stroke-width:2}.bar.more{stroke:#9a5b00}"
    ".dot{fill:#0b4f8a}.dot.more{fill:#fbfaf7;stroke:#9a5b00;stroke-width:2.5}"
    ".drift{stroke:#54585e;stroke-dasharray:5 4}"
    "@media(prefers-color-scheme:dark){.paper{fill:#fbfaf7}}";

struct Point {
  double days = 0.0;
  RelativeChange change;
};

std::vector<Point> PointsOf(const CalibrationHistory& history) {
  std::vector<Point> points = {{0.0, {}}};
  for (const CalibrationChange& c : history.since_first) {
    if (c.sleeve) points.push_back({c.days, *c.sleeve});
  }
  return points;
}

void Line(HtmlWriter& w, std::string_view cls, double x1, double y1, double x2,
          double y2) {
  w.Shape("line", {{"class", std::string(cls)},
                   {"x1", Coordinate(x1)},
                   {"y1", Coordinate(y1)},
                   {"x2", Coordinate(x2)},
                   {"y2", Coordinate(y2)}});
}

void Text(HtmlWriter& w, double x, double y, std::string_view text,
          const std::string& anchor, std::string_view cls = "") {
  w.Leaf("text", text,
         {{"class", std::string(cls)},
          {"x", Coordinate(x)},
          {"y", Coordinate(y)},
          {"text-anchor", anchor}});
}

void Frame(HtmlWriter& w, const Axis& x, const Axis& y, double first_s,
           double length_days) {
  const double step = report::TickStep(y.low, y.high, 6);
  for (const double tick : report::Ticks(y.low, y.high, 6)) {
    Line(w, tick == 0.0 ? "zero" : "grid", x.at_low, y.At(tick), x.at_high,
         y.At(tick));
    Text(w, x.at_low - 8.0, y.At(tick) + 4.0, report::TickText(tick, step),
         "end");
  }
  for (int k = 0; k <= 4; ++k) {
    const double days = 0.25 * k * length_days;
    Line(w, "grid", x.At(days), y.at_low, x.At(days), y.at_low + 5.0);
    Text(w, x.At(days), y.at_low + 21.0, DayText(first_s + days * kDayS),
         k == 0   ? "start"
         : k == 4 ? "end"
                  : "middle");
  }
}

std::string DriftWords(const CalibrationHistory& history) {
  if (!history.drift_per_month) {
    return "Bars: 95 % intervals. An open mark: more than its uncertainty.";
  }
  const RelativeChange& d = *history.drift_per_month;
  return "Drift " +
         Typographic(FigureText(100.0 * d.value, 100.0 * d.u95, "% a month")) +
         (d.more ? "." : ": not more than its uncertainty.") +
         " Bars: 95 % intervals; an open mark: more than its uncertainty.";
}

}  // namespace

std::string HistorySvg(const CalibrationHistory& history) {
  const std::vector<Point> points = PointsOf(history);
  double reach = 0.001;
  double days = 1.0;
  for (const Point& p : points) {
    reach = std::max(reach, std::abs(p.change.value) + p.change.u95);
    days = std::max(days, p.days);
  }
  const double top = report::NiceTop(105.0 * reach, 3);
  const Axis x = {-0.04 * days, 1.04 * days, 70.0, kWidth - 24.0};
  const Axis y = {-top, top, kHeight - 80.0, 74.0};
  const double first_s =
      history.calibrations.empty() ? 0.0 : history.calibrations.front().unix_s;
  HtmlWriter w;
  w.Open("svg",
         {{"xmlns", "http://www.w3.org/2000/svg"},
          {"viewBox", "0 0 " + Coordinate(kWidth) + " " + Coordinate(kHeight)},
          {"role", "img"},
          {"aria-label", "Calibrations of " + history.rig}});
  w.Open("style");
  w.Trusted(kStyle);
  w.Close();
  w.Shape("rect", {{"class", "paper"},
                   {"fill", "#fbfaf7"},
                   {"width", Coordinate(kWidth)},
                   {"height", Coordinate(kHeight)}});
  Text(w, 20.0, 30.0, history.rig, "start", "name");
  Text(w, 20.0, 52.0,
       "What the first calibration reads too high since, % of the force",
       "start");
  Frame(w, x, y, first_s, days);
  if (history.drift_per_month) {
    const double slope = 100.0 * history.drift_per_month->value / 30.44;
    Line(w, "drift", x.At(0.0), y.At(0.0), x.At(days), y.At(slope * days));
  }
  for (const Point& p : points) {
    const std::string more = p.change.more ? " more" : "";
    const double at = x.At(p.days);
    Line(w, "bar" + more, at, y.At(100.0 * (p.change.value - p.change.u95)), at,
         y.At(100.0 * (p.change.value + p.change.u95)));
    w.Shape("circle", {{"class", "dot" + more},
                       {"cx", Coordinate(at)},
                       {"cy", Coordinate(y.At(100.0 * p.change.value))},
                       {"r", "5"}});
  }
  Text(w, 20.0, kHeight - 18.0, DriftWords(history), "start");
  return w.Take() + "\n";
}

}  // namespace masseter
