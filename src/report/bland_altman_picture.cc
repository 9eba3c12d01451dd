#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/significant.h"
#include "report/study_pictures.h"
#include "report/svg_file.h"
#include "report/svg_plot.h"
#include "report/utf8.h"

namespace masseter::report {
namespace {

// What is drawn: differences, or on logarithms ratios in per cent.
double Shown(double difference, bool log) {
  return log ? 100.0 * std::expm1(difference) : difference;
}

std::string LevelText(double value, bool log) {
  const std::string text = Typographic(Significant(value, 3));
  return log ? text + " %" : text;
}

struct Extent {
  double low;
  double high;
};
Extent Padded(double low, double high, double share) {
  const double pad =
      std::max(share * (high - low), 1e-9 + 0.02 * std::abs(high));
  return {low - pad, high + pad};
}

// A level with its interval as a bracket in column `column` at the left.
void Level(SvgPlot& plot, const BlandAltmanPicture& p, double at, double from,
           double to, std::string_view cls, int column, std::string_view what) {
  const Axis& x = plot.x();
  const double shown = Shown(at, p.log);
  const double unit = (x.high - x.low) / 100.0;
  const double left = x.low + (1.0 + 2.0 * column) * unit;
  plot.Box(left, left + unit, Shown(from, p.log), Shown(to, p.log), "bracket");
  plot.Segment(x.low, shown, x.high, shown, cls);
  plot.Label(x.high, shown, -4.0, -6.0,
             fmt::format("{} {}", what, LevelText(shown, p.log)), "ink", "end");
}

}  // namespace

std::string BlandAltmanSvg(const BlandAltmanPicture& p) {
  const BlandAltman& b = p.result;
  double left = INFINITY;
  double right = -INFINITY;
  double bottom = Shown(b.limit_lo_from, p.log);
  double top = Shown(b.limit_hi_to, p.log);
  for (const DifferencePoint& d : b.points) {
    const double at = p.log ? std::exp(d.mean) : d.mean;
    left = std::min(left, at);
    right = std::max(right, at);
    bottom = std::min(bottom, Shown(d.difference, p.log));
    top = std::max(top, Shown(d.difference, p.log));
  }
  const Extent xs = Padded(left, right, 0.08);
  const Extent ys = Padded(bottom, top, 0.08);
  HtmlWriter w;
  {
    SvgPlot plot(w, 420.0,
                 "Differences between two ways of measuring over their mean",
                 {xs.low, xs.high, 66.0, kPictureWidth - 12.0},
                 {ys.low, ys.high, 362.0, 34.0});
    const std::string first = CutTo(p.first, 20);
    const std::string second = CutTo(p.second, 20);
    plot.XAxis(
        fmt::format("mean of both, {}{}", p.of, p.log ? " (geometric)" : ""),
        6);
    plot.YAxis(p.log ? fmt::format("{} over {}, per cent more", first, second)
                     : fmt::format("{} minus {}", first, second),
               6);
    Level(plot, p, b.limit_hi, b.limit_hi_from, b.limit_hi_to, "limit", 0,
          "upper limit");
    Level(plot, p, b.mean, b.mean_lo, b.mean_hi, "line", 1, "mean");
    Level(plot, p, b.limit_lo, b.limit_lo_from, b.limit_lo_to, "limit", 2,
          "lower limit");
    for (const DifferencePoint& d : b.points) {
      const double at = p.log ? std::exp(d.mean) : d.mean;
      w.Shape("circle",
              {{"class", "dot"},
               {"cx", Coordinate(plot.x().At(at))},
               {"cy", Coordinate(plot.y().At(Shown(d.difference, p.log)))},
               {"r", "5"}});
    }
  }
  return SvgFile(w.Take());
}

}  // namespace masseter::report
