#include "report/compare_pictures.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/html_writer.h"
#include "report/page_parts.h"
#include "report/svg_file.h"
#include "report/svg_plot.h"
#include "report/utf8.h"

namespace masseter::report {
namespace {

constexpr double kNames = 122.0;  // room for a dog's name
constexpr double kTop = 26.0;
constexpr double kRow = 34.0;
constexpr double kBelow = 58.0;  // ticks and the axis' title
constexpr double kLegendLine = 26.0;

// Rows of dogs over an axis of newtons.
struct Frame {
  Axis x;
  std::size_t rows = 0;

  double Y(std::size_t row) const {
    return kTop + kRow * (static_cast<double>(row) + 0.5);
  }
  double Bottom() const { return kTop + kRow * static_cast<double>(rows); }
};

void Grow(double v, double& low, double& high) {
  if (!std::isfinite(v)) return;
  low = std::min(low, v);
  high = std::max(high, v);
}

Frame FrameOf(const ComparePicture& p, bool bites) {
  Frame f;
  f.rows = std::min({p.dogs.size(), p.most, kMostPictureDogs});
  double low = INFINITY;
  double high = -INFINITY;
  for (std::size_t r = 0; r < f.rows; ++r) {
    const ComparedDog& d = p.dogs[r];
    for (const double v : {d.mean_n, d.lo_n, d.hi_n, d.own_n}) {
      Grow(v, low, high);
    }
    if (!bites) continue;
    for (const ComparedBite& b : d.bites) Grow(b.force_n, low, high);
  }
  Grow(p.all_n, low, high);
  if (!(low <= high)) low = high = 0.0;
  const double pad = std::max(0.06 * (high - low), 1e-3 + 0.01 * high);
  // Zero is shown where it is not far.
  const bool near = low - pad < 0.3 * high && low >= 0.0;
  const double left = near ? 0.0 : low - pad;
  f.x = {left, high + pad, kNames, kPictureWidth - 14.0};
  return f;
}

void Rect(HtmlWriter& w, std::string_view cls, double x, double y, double wide,
          double high) {
  w.Shape("rect", {{"class", std::string(cls)},
                   {"x", Coordinate(x)},
                   {"y", Coordinate(y)},
                   {"width", Coordinate(wide)},
                   {"height", Coordinate(high)}});
}

void Circle(HtmlWriter& w, std::string_view cls, double x, double y, double r) {
  w.Shape("circle", {{"class", std::string(cls)},
                     {"cx", Coordinate(x)},
                     {"cy", Coordinate(y)},
                     {"r", Coordinate(r)}});
}

void Open(HtmlWriter& w, double height, std::string_view title) {
  w.Open("svg", {{"class", "plot"},
                 {"viewBox", fmt::format("0 0 {} {}", Coordinate(kPictureWidth),
                                         Coordinate(height))},
                 {"role", "img"},
                 {"aria-label", std::string(title)}});
  w.Line();
}

void Names(HtmlWriter& w, const ComparePicture& p, std::size_t rows) {
  for (std::size_t r = 0; r < rows; ++r) {
    SvgText(w, kNames - 10.0,
            kTop + kRow * (static_cast<double>(r) + 0.5) + 5.0,
            CutTo(p.dogs[r].name, 12), "ink", "end");
  }
  w.Line();
}

void ForceAxis(HtmlWriter& w, const ComparePicture& p, const Frame& f) {
  const double step = TickStep(f.x.low, f.x.high, 6);
  for (const double tick : Ticks(f.x.low, f.x.high, 6)) {
    const double x = f.x.At(tick);
    SvgLine(w, tick == 0.0 ? "zero" : "grid", x, kTop, x, f.Bottom());
    SvgText(w, x, f.Bottom() + 20.0, TickText(tick, step), "tick", "middle");
  }
  SvgText(w, f.x.at_high, f.Bottom() + 46.0, p.of + ", N", "axis", "end");
  w.Line();
}

void LeftOut(HtmlWriter& w, const ComparePicture& p, std::size_t rows) {
  if (rows == p.dogs.size()) return;
  SvgText(w, 2.0, 18.0, fmt::format("the first {} of {}", rows, p.dogs.size()),
          "ink", "start");
}

// Shapes with their words in one or two lines below the picture.
double LegendOfShapes(HtmlWriter& w, double y) {
  const auto shape = [&](double x, Verdict v, bool at_least,
                         std::string_view more = "") {
    VerdictShape(w, x, y - 5.0, 6.0, v, at_least);
    SvgText(w, x + 12.0, y, fmt::format("{}{}", VerdictName(v, at_least), more),
            "tick", "start");
  };
  shape(14.0, Verdict::kSound, false);
  shape(126.0, Verdict::kDoubtful, false);
  shape(256.0, Verdict::kSound, true);
  shape(378.0, Verdict::kVoid, false, ", not counted");
  return y + kLegendLine;
}

}  // namespace

std::string ComparedBitesPlot(const ComparePicture& p) {
  const Frame f = FrameOf(p, true);
  HtmlWriter w;
  Open(w, f.Bottom() + kBelow + 2.6 * kLegendLine,
       "Every bite of every dog, with the interval of its mean");
  ForceAxis(w, p, f);
  Names(w, p, f.rows);
  LeftOut(w, p, f.rows);
  for (std::size_t r = 0; r < f.rows; ++r) {
    const ComparedDog& d = p.dogs[r];
    const double y = f.Y(r);
    if (std::isfinite(d.lo_n) && std::isfinite(d.hi_n)) {
      const double left = f.x.At(d.lo_n);
      Rect(w, "interval", left, y - 13.0, f.x.At(d.hi_n) - left, 26.0);
    }
    if (std::isfinite(d.mean_n)) {
      SvgLine(w, "line", f.x.At(d.mean_n), y - 13.0, f.x.At(d.mean_n),
              y + 13.0);
    }
    // In the order they came, five heights in turn, so that none hides another.
    for (std::size_t b = 0; b < d.bites.size(); ++b) {
      const double off = 3.6 * (static_cast<double>(b % 5) - 2.0);
      VerdictShape(w, f.x.At(d.bites[b].force_n), y + off, 4.6,
                   d.bites[b].verdict, d.bites[b].at_least);
    }
    w.Line();
  }
  double y = LegendOfShapes(w, f.Bottom() + kBelow + 14.0);
  SvgText(w, 8.0, y, "line and band: the dog's mean and where it lies, 95 %",
          "tick", "start");
  w.Close();
  return w.Take();
}

std::string ComparedMeansPlot(const ComparePicture& p) {
  const Frame f = FrameOf(p, false);
  HtmlWriter w;
  Open(w, f.Bottom() + kBelow + 2.6 * kLegendLine,
       "Means of the dogs, strongest first, with their intervals");
  ForceAxis(w, p, f);
  Names(w, p, f.rows);
  LeftOut(w, p, f.rows);
  if (std::isfinite(p.all_n)) {
    SvgLine(w, "limit", f.x.At(p.all_n), kTop, f.x.At(p.all_n), f.Bottom());
  }
  for (std::size_t r = 0; r < f.rows; ++r) {
    const ComparedDog& d = p.dogs[r];
    const double y = f.Y(r);
    if (std::isfinite(d.lo_n) && std::isfinite(d.hi_n)) {
      SvgLine(w, "fit", f.x.At(d.lo_n), y, f.x.At(d.hi_n), y);
      for (const double end : {d.lo_n, d.hi_n}) {
        SvgLine(w, "fit", f.x.At(end), y - 6.0, f.x.At(end), y + 6.0);
      }
    }
    if (std::isfinite(d.own_n)) {
      Rect(w, "odd", f.x.At(d.own_n) - 5.0, y - 5.0, 10.0, 10.0);
    }
    if (std::isfinite(d.mean_n)) {
      Circle(w, "dot", f.x.At(d.mean_n), y, 6.0);
    }
    w.Line();
  }
  double y = f.Bottom() + kBelow + 14.0;
  SvgText(w, 8.0, y, "disc and line: the mean drawn towards all dogs, 95 %",
          "tick", "start");
  y += kLegendLine;
  SvgText(w, 8.0, y, "square: its own bites alone; dashed: the middle of all",
          "tick", "start");
  w.Close();
  return w.Take();
}

std::string ComparedRanksPlot(const ComparePicture& p) {
  const std::size_t rows = std::min({p.dogs.size(), p.most, kMostRankDogs});
  const double wide =
      std::min(kRow, (kPictureWidth - 14.0 - kNames) /
                         std::max(1.0, static_cast<double>(rows)));
  const double bottom = kTop + kRow * static_cast<double>(rows);
  HtmlWriter w;
  Open(w, bottom + kBelow + 1.6 * kLegendLine,
       "How probable each rank of each dog is");
  Names(w, p, rows);
  LeftOut(w, p, rows);
  const std::size_t every = rows > 12 ? 5 : 1;
  for (std::size_t r = 0; r < rows; ++r) {
    const double y = kTop + kRow * (static_cast<double>(r) + 0.5);
    SvgLine(w, "grid", kNames, y, kNames + wide * static_cast<double>(rows), y);
    for (std::size_t k = 0; k < rows; ++k) {
      if (k >= p.dogs[r].rank_probability.size()) break;
      const double share = p.dogs[r].rank_probability[k];
      if (share < 0.005) continue;
      // Area tells the probability.
      const double side = std::min(wide, kRow) * 0.92 * std::sqrt(share);
      const double x = kNames + wide * (static_cast<double>(k) + 0.5);
      Rect(w, "area2", x - side / 2.0, y - side / 2.0, side, side);
    }
    if (r == 0 || (r + 1) % every == 0) {
      SvgText(w, kNames + wide * (static_cast<double>(r) + 0.5), bottom + 20.0,
              fmt::format("{}", r + 1), "tick", "middle");
    }
    w.Line();
  }
  SvgText(w, kNames, bottom + 46.0, "rank (1 is the strongest)", "axis",
          "start");
  SvgText(w, 8.0, bottom + kBelow + 14.0,
          "the larger a square, the more probable that rank", "tick", "start");
  w.Close();
  return w.Take();
}

std::string ComparedBitesSvg(const ComparePicture& p) {
  return SvgFile(ComparedBitesPlot(p));
}

std::string ComparedMeansSvg(const ComparePicture& p) {
  return SvgFile(ComparedMeansPlot(p));
}

std::string ComparedRanksSvg(const ComparePicture& p) {
  return SvgFile(ComparedRanksPlot(p));
}

}  // namespace masseter::report
