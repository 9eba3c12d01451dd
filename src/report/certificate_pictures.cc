#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/certificate_html.h"
#include "report/figure_text.h"
#include "report/svg_plot.h"

namespace masseter::report {
namespace {

// Half a column on paper; text keeps the size it has in wide pictures.
constexpr double kHalf = 300.0;
constexpr double kWide = 620.0;

void Dot(HtmlWriter& w, double x, double y, double r, bool filled) {
  w.Shape("circle", {{"class", filled ? "reading up" : "reading down"},
                     {"cx", Coordinate(x)},
                     {"cy", Coordinate(y)},
                     {"r", Coordinate(r)}});
}

double LargestForce(const CertificateModel& model) {
  double force = 1.0;
  for (const CertificateReading& r : model.readings) {
    force = std::max(force, r.force_n);
  }
  return force;
}

// Round numbers below and above what is shown, zero among them.
struct Span {
  double low = 0.0;
  double high = 0.0;
  void Add(double value) {
    if (!std::isfinite(value)) return;
    low = std::min(low, value);
    high = std::max(high, value);
  }
};

}  // namespace

void WriteCertificateCurve(HtmlWriter& w, const CertificateModel& model) {
  Span shown;
  for (const CertificateReading& r : model.readings) shown.Add(r.shown);
  for (const auto& [force, signal] : model.curve) shown.Add(signal);
  const Axis x = {0.0, NiceTop(LargestForce(model) * 1.02, 4), 60.0,
                  kHalf - 10.0};
  const Axis y = {shown.low < 0.0 ? -NiceTop(-shown.low * 1.02, 4) : 0.0,
                  shown.high > 0.0 ? NiceTop(shown.high * 1.02, 4) : 0.0, 142.0,
                  26.0};
  const Scope figure(w, "figure");
  SvgPlot plot(w, 180.0, "What the sleeve showed over the force on it", x, y,
               kHalf);
  plot.XAxis("Reference force (N)", 4);
  plot.YAxis(model.shown_axis, 4);
  for (std::size_t i = 1; i < model.curve.size(); ++i) {
    plot.Segment(model.curve[i - 1].first, model.curve[i - 1].second,
                 model.curve[i].first, model.curve[i].second, "fitted");
  }
  if (model.curve.empty()) {
    const double top = std::min(x.high, y.high);
    plot.Segment(0.0, 0.0, top, top, "fitted");
  }
  for (const CertificateReading& r : model.readings) {
    Dot(w, x.At(r.force_n), y.At(r.shown), 2.2, r.rising);
  }
}

void WriteCertificateErrors(HtmlWriter& w, const CertificateModel& model) {
  double error = model.expanded_u95;
  for (const CertificateReading& r : model.readings) {
    error = std::max(error, std::abs(r.error));
  }
  const double top = NiceTop(error * 100.0, 3);
  const Axis x = {0.0, NiceTop(LargestForce(model) * 1.02, 4), 44.0,
                  kHalf - 10.0};
  const Axis y = {-top, top, 142.0, 26.0};
  const Scope figure(w, "figure");
  SvgPlot plot(w, 180.0, "Relative error of every reading over force", x, y,
               kHalf);
  const double u = model.expanded_u95 * 100.0;
  plot.Box(x.low, x.high, -u, u, "range");
  plot.XAxis("Reference force (N)", 4);
  plot.YAxis("Error (%), ● rising, ○ falling; band: U", 4);
  for (const CertificateReading& r : model.readings) {
    Dot(w, x.At(r.force_n), y.At(r.error * 100.0), 2.2, r.rising);
  }
}

void WriteCertificateMap(HtmlWriter& w, const CertificateModel& model) {
  if (model.places.size() < 2) return;
  double x0 = 1e300, x1 = -1e300, y0 = 1e300, y1 = -1e300, most = 0.0;
  for (const CertificatePlace& p : model.places) {
    x0 = std::min(x0, p.x_mm);
    x1 = std::max(x1, p.x_mm);
    y0 = std::min(y0, p.y_mm);
    y1 = std::max(y1, p.y_mm);
    most = std::max(most, std::abs(p.error.value_or(0.0)));
  }
  const double pad_x = std::max(0.1 * (x1 - x0), 6.0);
  const double pad_y = std::max(0.35 * (y1 - y0), 6.0);
  const Axis x = {x0 - pad_x, x1 + pad_x, 44.0, kWide - 10.0};
  const Axis y = {y0 - pad_y, y1 + pad_y, 128.0, 24.0};
  const Scope figure(w, "figure", {{"class", "map"}});
  SvgPlot plot(w, 164.0, "Error left at every place", x, y, kWide);
  plot.XAxis("Along the sleeve, + toward the elbow (mm)", 8);
  plot.YAxis(
      "Across (mm). Error at every place, its area by its size: ● too "
      "much, ○ too little",
      3);
  for (const CertificatePlace& p : model.places) {
    const double error = p.error.value_or(0.0);
    const double share = most > 0.0 ? std::abs(error) / most : 0.0;
    const double px = x.At(p.x_mm);
    const double py = y.At(p.y_mm);
    Dot(w, px, py, 2.0 + 7.0 * std::sqrt(share), error >= 0.0);
    if (!p.error || model.places.size() > 16) continue;
    w.Leaf("text", Typographic(PercentText(error)),
           {{"class", "tick"},
            {"x", Coordinate(px)},
            {"y", Coordinate(py - 4.0 - 7.0 * std::sqrt(share))},
            {"text-anchor", "middle"}});
  }
}

}  // namespace masseter::report
