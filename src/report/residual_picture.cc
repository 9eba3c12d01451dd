#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <utility>

#include "report/figure_text.h"
#include "report/sections.h"
#include "report/svg_plot.h"

namespace masseter::report {
namespace {

constexpr std::size_t kMostLabels = 30;

bool Usable(const ReportResidual& r) {
  return std::isfinite(r.relative_error) && std::isfinite(r.force_n);
}

void Dot(HtmlWriter& w, double x, double y, double r, bool filled) {
  w.Shape("circle", {{"class", filled ? "reading up" : "reading down"},
                     {"cx", Coordinate(x)},
                     {"cy", Coordinate(y)},
                     {"r", Coordinate(r)}});
}

// Readings of one position, by the worst of their errors.
struct Place {
  double worst = 0.0;  // relative, with its sign
  std::size_t readings = 0;
};
using Places = std::map<std::pair<double, double>, Place>;

Places PlacesOf(const ReportCalibration& cal) {
  Places places;
  for (const ReportResidual& r : cal.residuals) {
    if (!Usable(r)) continue;
    const auto tenth = [](double mm) { return std::round(mm * 10.0) / 10.0; };
    Place& place = places[{tenth(r.x_mm), tenth(r.y_mm)}];
    ++place.readings;
    if (std::abs(r.relative_error) > std::abs(place.worst)) {
      place.worst = r.relative_error;
    }
  }
  return places;
}

// An axis that holds every position with room for its circle and label.
Axis AxisAround(double low, double high, double at_low, double at_high) {
  const double pad = std::max(0.14 * (high - low), 8.0);
  return {low - pad, high + pad, at_low, at_high};
}

}  // namespace

void WriteErrorOverForce(HtmlWriter& w, const ReportCalibration& cal) {
  double force = 0.0;
  double error = cal.expanded_relative_u95.value_or(0.0);
  for (const ReportResidual& r : cal.residuals) {
    if (!Usable(r)) continue;
    force = std::max(force, r.force_n);
    error = std::max(error, std::abs(r.relative_error));
  }
  const double top = NiceTop(error * 100.0, 3);
  const Axis x = {0.0, NiceTop(force * 1.02, 7), 58.0, kPictureWidth - 12.0};
  const Axis y = {-top, top, 204.0, 24.0};
  const Scope figure(w, "figure");
  {
    SvgPlot plot(w, 246.0, "Relative error of every reading over force", x, y);
    if (cal.expanded_relative_u95) {
      const double u = *cal.expanded_relative_u95 * 100.0;
      plot.Box(x.low, x.high, -u, u, "range");
    }
    plot.XAxis("Reference force (N)", 7);
    plot.YAxis("Error (% of the reference)", 6);
    for (const ReportResidual& r : cal.residuals) {
      if (!Usable(r)) continue;
      Dot(w, x.At(r.force_n), y.At(r.relative_error * 100.0), 2.8, r.rising);
    }
  }
  std::string caption =
      "What the sleeve said against what was hung on it, every reading: "
      "filled while loads rise, open while they fall. A slope or a bow means "
      "that the fitted form is wrong; a filled dot apart from its open "
      "neighbour is hysteresis.";
  if (cal.expanded_relative_u95) {
    caption += " The faint band is the stated uncertainty.";
  }
  w.Leaf("figcaption", caption);
}

void WriteErrorByPosition(HtmlWriter& w, const ReportCalibration& cal) {
  const Places places = PlacesOf(cal);
  if (places.size() < 2) return;
  double x0 = 1e300, x1 = -1e300, y0 = 1e300, y1 = -1e300, most = 0.0;
  for (const auto& [at, place] : places) {
    x0 = std::min(x0, at.first);
    x1 = std::max(x1, at.first);
    y0 = std::min(y0, at.second);
    y1 = std::max(y1, at.second);
    most = std::max(most, std::abs(place.worst));
  }
  const Axis x = AxisAround(x0, x1, 58.0, kPictureWidth - 12.0);
  const double per_mm = (x.at_high - x.at_low) / (x.high - x.low);
  const Axis span = AxisAround(y0, y1, 0.0, 1.0);
  const double height =
      std::clamp(per_mm * (span.high - span.low), 110.0, 300.0);
  const Axis y = {span.low, span.high, 24.0 + height, 24.0};
  const Scope figure(w, "figure");
  {
    SvgPlot plot(w, height + 66.0, "Largest error at every position", x, y);
    plot.XAxis("Along the sleeve, + toward the elbow (mm)", 8);
    plot.YAxis("Across (mm)", 4);
    for (const auto& [at, place] : places) {
      const double share = most > 0.0 ? std::abs(place.worst) / most : 0.0;
      const double px = x.At(at.first);
      const double py = y.At(at.second);
      Dot(w, px, py, 2.0 + 9.0 * std::sqrt(share), place.worst >= 0.0);
      if (places.size() > kMostLabels) continue;
      w.Leaf("text", Typographic(PercentText(place.worst)),
             {{"class", "tick"},
              {"x", Coordinate(px)},
              {"y", Coordinate(py + 13.0)},
              {"dy", "0.8em"},
              {"text-anchor", "middle"}});
    }
  }
  w.Leaf("figcaption",
         "Seen from above: the largest error at every position, its area by "
         "its size; filled where the sleeve said too much, open where it said "
         "too little. Circles that grow to one side mean that the answer "
         "depends on where the dog grips.");
}

}  // namespace masseter::report
