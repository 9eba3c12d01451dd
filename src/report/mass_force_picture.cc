#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/study/published_ranges.h"
#include "report/html_writer.h"
#include "report/page_parts.h"
#include "report/study_pictures.h"
#include "report/svg_file.h"
#include "report/svg_plot.h"
#include "report/utf8.h"

namespace masseter::report {
namespace {

// Height of the frame and its labels; the legend stands below.
constexpr double kHeight = 470.0;
constexpr double kLegendLine = 21.0;
constexpr std::size_t kMostNames = 25;
// Room for a name, at the letters' size on a phone.
constexpr double kLetterWidth = 10.5;
constexpr double kNameHeight = 21.0;
constexpr double kNameGap = 9.0;

// Ticks at 1, 2, 5 times powers of ten.
std::vector<double> LogTicks(double low, double high) {
  std::vector<double> out;
  for (double power = std::floor(std::log10(low)); power <= std::log10(high);
       power += 1.0) {
    for (const double lead : {1.0, 2.0, 3.0, 5.0}) {
      const double v = lead * std::pow(10.0, power);
      if (v >= low * 0.999 && v <= high * 1.001) out.push_back(v);
    }
  }
  return out;
}

struct LogAxes {
  Axis x;
  Axis y;
  double X(double mass) const { return x.At(std::log10(mass)); }
  double Y(double force) const { return y.At(std::log10(force)); }
};

LogAxes AxesOf(const MassForcePicture& p) {
  double left = 10.0;
  double right = 60.0;
  double bottom = 100.0;
  double top = 1000.0;
  for (const MassForceDog& d : p.dogs) {
    left = std::min(left, d.mass_kg / 1.1);
    right = std::max(right, d.mass_kg * 1.1);
    bottom = std::min(bottom, d.force_n / 1.2);
    top = std::max(top, d.force_n * 1.2);
  }
  for (const PublishedRange& r : PublishedRanges()) {
    if (!p.published) break;
    bottom = std::min(bottom, r.low_n / 1.1);
    top = std::max(top, r.high_n * 1.1);
  }
  return {{std::log10(left), std::log10(right), 62.0, 428.0},
          {std::log10(bottom), std::log10(top), kHeight - 56.0, 30.0}};
}

void Frame(HtmlWriter& w, const LogAxes& a) {
  const double mass_low = std::pow(10.0, a.x.low);
  const double mass_high = std::pow(10.0, a.x.high);
  for (const double tick : LogTicks(mass_low, mass_high)) {
    SvgLine(w, "grid", a.X(tick), a.y.at_low, a.X(tick), a.y.at_high);
    SvgText(w, a.X(tick), a.y.at_low + 20.0, fmt::format("{:g}", tick), "tick",
            "middle");
  }
  SvgText(w, a.x.at_high, a.y.at_low + 44.0, "body mass, kg", "axis", "end");
  const double force_low = std::pow(10.0, a.y.low);
  const double force_high = std::pow(10.0, a.y.high);
  for (const double tick : LogTicks(force_low, force_high)) {
    SvgLine(w, "grid", a.x.at_low, a.Y(tick), a.x.at_high, a.Y(tick));
    const bool lead3 = fmt::format("{:g}", tick).front() == '3';
    if (lead3) continue;
    SvgText(w, a.x.at_low - 6.0, a.Y(tick) + 5.0, fmt::format("{:g}", tick),
            "tick", "end");
  }
  SvgText(w, 2.0, 16.0, "force, N", "axis", "start");
  w.Line();
}

// Others' ranges stand in a strip of their own at the right, numbered; they
// are not measurements of this study.
void Published(HtmlWriter& w, const LogAxes& a) {
  double x = 452.0;
  int number = 0;
  SvgText(w, 636.0, 16.0, "published, other methods", "axis", "end");
  for (const PublishedRange& r : PublishedRanges()) {
    w.Shape("rect", {{"class", "back"},
                     {"x", Coordinate(x)},
                     {"y", Coordinate(a.Y(r.high_n))},
                     {"width", "24"},
                     {"height", Coordinate(a.Y(r.low_n) - a.Y(r.high_n))}});
    if (r.middle_n > 0.0) {
      SvgLine(w, "line", x, a.Y(r.middle_n), x + 24.0, a.Y(r.middle_n));
    }
    SvgText(w, x + 12.0, a.y.at_low + 20.0, fmt::format("{}", ++number), "tick",
            "middle");
    x += 36.0;
  }
  w.Line();
}

void Fit(HtmlWriter& w, const LogAxes& a, const AllometricFit& fit) {
  constexpr int kSteps = 40;
  std::string upper;
  std::string lower;
  std::string middle;
  for (int i = 0; i <= kSteps; ++i) {
    const double mass =
        fit.lightest *
        std::pow(fit.heaviest / fit.lightest, static_cast<double>(i) / kSteps);
    const ForceAtMass f = PredictForce(fit, mass);
    const auto y = [&](double force) {
      return Coordinate(std::clamp(a.Y(force), a.y.at_high, a.y.at_low));
    };
    const std::string x = Coordinate(a.X(mass));
    upper += fmt::format("{}{} {}", i == 0 ? "M" : "L", x, y(f.mean_hi));
    middle += fmt::format("{}{} {}", i == 0 ? "M" : "L", x, y(f.force));
    lower = fmt::format("L{} {}", x, y(f.mean_lo)) + lower;
  }
  w.Shape("path", {{"class", "band"}, {"d", upper + lower + "Z"}});
  w.Shape("path", {{"class", "fit"}, {"d", middle}});
  const auto axis = [&](double mass) {
    const double force = std::exp(fit.major_axis.intercept +
                                  fit.major_axis.slope * std::log(mass));
    return std::clamp(a.Y(force), a.y.at_high, a.y.at_low);
  };
  SvgLine(w, "axis2", a.X(fit.lightest), axis(fit.lightest), a.X(fit.heaviest),
          axis(fit.heaviest));
  w.Line();
}

struct Box {
  double left = 0.0;
  double top = 0.0;
  double right = 0.0;
  double bottom = 0.0;
  bool Meets(const Box& o) const {
    return left < o.right && o.left < right && top < o.bottom && o.top < bottom;
  }
};

// Where a name of `wide` may stand beside its dot, nearest first: right or
// left, then ever farther above and below.
std::vector<Box> PlacesBeside(const LogAxes& a, double x, double y,
                              double wide) {
  std::vector<Box> out;
  for (int step = 0; step < 24; ++step) {
    const int rows = (step + 1) / 2;
    const double far = kNameHeight * rows;
    const double at = y + (step % 2 == 0 ? far : -far) - kNameHeight / 2.0;
    if (at < a.y.at_high || at + kNameHeight > a.y.at_low) continue;
    for (const double left : {x + kNameGap, x - kNameGap - wide}) {
      if (left < a.x.at_low || left + wide > a.x.at_high + kNameGap) continue;
      out.push_back({left, at, left + wide, at + kNameHeight});
    }
  }
  return out;
}

// Small boxes along the line that leads from a dot to its name; none on the dot
// itself.
std::vector<Box> Leader(double from_x, double from_y, double x, double y) {
  constexpr int kPoints = 24;
  constexpr double kHalf = 2.0;
  std::vector<Box> out;
  const double reach = std::hypot(x - from_x, y - from_y);
  for (int i = 1; i < kPoints; ++i) {
    const double share = static_cast<double>(i) / kPoints;
    if (share * reach < 10.0) continue;
    const double at_x = from_x + share * (x - from_x);
    const double at_y = from_y + share * (y - from_y);
    out.push_back({at_x - kHalf, at_y - kHalf, at_x + kHalf, at_y + kHalf});
  }
  return out;
}

bool Free(const std::vector<Box>& wanted, const std::vector<Box>& taken) {
  return std::ranges::none_of(wanted, [&taken](const Box& box) {
    return std::ranges::any_of(
        taken, [&box](const Box& other) { return box.Meets(other); });
  });
}

// Each name on the nearest place that no dot and no other name has; a thin
// line leads to it from its dot where it is not beside it. A name that finds
// no place is left out.
void Names(HtmlWriter& w, const LogAxes& a, const MassForcePicture& p) {
  std::vector<Box> taken;
  for (const MassForceDog& d : p.dogs) {
    const double x = a.X(d.mass_kg);
    const double y = a.Y(d.force_n);
    taken.push_back({x - 6.0, y - 6.0, x + 6.0, y + 6.0});
  }
  for (const MassForceDog& d : p.dogs) {
    const double x = a.X(d.mass_kg);
    const double y = a.Y(d.force_n);
    const std::string name = CutTo(d.name, 14);
    const double wide = kLetterWidth * static_cast<double>(name.size());
    for (const Box& place : PlacesBeside(a, x, y, wide)) {
      const bool right = place.left > x;
      const double at = (place.top + place.bottom) / 2.0;
      const double edge = right ? place.left : place.right;
      std::vector<Box> wanted = Leader(x, y, edge, at);
      wanted.push_back(place);
      if (!Free(wanted, taken)) continue;
      taken.insert(taken.end(), wanted.begin(), wanted.end());
      if (std::abs(at - y) > 1.0) SvgLine(w, "zero", x, y, edge, at);
      SvgText(w, edge, at + 5.0, name, "ink", right ? "start" : "end");
      break;
    }
  }
  w.Line();
}

void Dogs(HtmlWriter& w, const LogAxes& a, const MassForcePicture& p) {
  for (const MassForceDog& d : p.dogs) {
    const double x = a.X(d.mass_kg);
    const double y = a.Y(d.force_n);
    if (d.unusual) {
      w.Shape("rect", {{"class", "odd"},
                       {"x", Coordinate(x - 5.0)},
                       {"y", Coordinate(y - 5.0)},
                       {"width", "10"},
                       {"height", "10"}});
    } else {
      w.Shape("circle", {{"class", "dot"},
                         {"cx", Coordinate(x)},
                         {"cy", Coordinate(y)},
                         {"r", "5.5"}});
    }
  }
  w.Line();
  if (p.dogs.size() <= kMostNames) Names(w, a, p);
}

// What the lines and the numbered strips are, with sources.
void Legend(HtmlWriter& w, const MassForcePicture& p) {
  double y = kHeight + 6.0;
  const auto line = [&](const std::string& text) {
    SvgText(w, 10.0, y, text, "small", "start");
    y += kLegendLine;
  };
  if (p.fit) {
    line("line and band: least squares, 95 %; dashed: standardised major axis");
  }
  line("square: outside what is usual for its mass");
  int number = 0;
  for (const PublishedRange& r : PublishedRanges()) {
    if (!p.published) break;
    line(fmt::format("{}  {} ({})", ++number, r.what, r.source));
  }
  w.Line();
}

double LegendHeight(const MassForcePicture& p) {
  std::size_t lines = p.fit ? 2 : 1;
  if (p.published) lines += PublishedRanges().size();
  return static_cast<double>(lines) * kLegendLine;
}

}  // namespace

std::string MassForcePlot(const MassForcePicture& p) {
  const LogAxes axes = AxesOf(p);
  HtmlWriter w;
  w.Open("svg",
         {{"class", "plot"},
          {"viewBox",
           fmt::format("0 0 640 {}", Coordinate(kHeight + LegendHeight(p)))},
          {"role", "img"},
          {"aria-label", "Bite force against body mass on logarithmic axes"}});
  w.Line();
  Frame(w, axes);
  if (p.published) Published(w, axes);
  if (p.fit) Fit(w, axes, *p.fit);
  Dogs(w, axes, p);
  Legend(w, p);
  w.Close();
  return w.Take();
}

std::string MassForceSvg(const MassForcePicture& p) {
  return SvgFile(MassForcePlot(p));
}

}  // namespace masseter::report
