#include "report/svg_plot.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace masseter::report {
namespace {

std::string C(double value) { return Coordinate(value); }

double Between(double value, double a, double b) {
  return std::clamp(value, std::min(a, b), std::max(a, b));
}

}  // namespace

SvgPlot::SvgPlot(HtmlWriter& writer, double height, std::string_view title,
                 Axis x, Axis y, double width)
    : writer_(writer), x_(x), y_(y) {
  writer_.Open("svg",
               {{"class", "plot"},
                {"viewBox", fmt::format("0 0 {} {}", C(width), C(height))},
                {"role", "img"},
                {"aria-label", std::string(title)}});
  writer_.Line();
}

SvgPlot::~SvgPlot() {
  writer_.Close();
  writer_.Line();
}

void SvgPlot::XAxis(std::string_view title, int ticks) {
  const double step = TickStep(x_.low, x_.high, ticks);
  for (const double tick : Ticks(x_.low, x_.high, ticks)) {
    const double at = x_.At(tick);
    writer_.Shape("line", {{"class", tick == 0.0 ? "zero" : "grid"},
                           {"x1", C(at)},
                           {"x2", C(at)},
                           {"y1", C(y_.at_low)},
                           {"y2", C(y_.at_high)}});
    writer_.Leaf("text", TickText(tick, step),
                 {{"class", "tick"},
                  {"x", C(at)},
                  {"y", C(std::max(y_.at_low, y_.at_high))},
                  {"dy", "1.25em"},
                  {"text-anchor", "middle"}});
  }
  writer_.Leaf("text", title,
               {{"class", "axis"},
                {"x", C(std::max(x_.at_low, x_.at_high))},
                {"y", C(std::max(y_.at_low, y_.at_high))},
                {"dy", "2.6em"},
                {"text-anchor", "end"}});
  writer_.Line();
}

void SvgPlot::YAxis(std::string_view title, int ticks) {
  const double step = TickStep(y_.low, y_.high, ticks);
  for (const double tick : Ticks(y_.low, y_.high, ticks)) {
    const double at = y_.At(tick);
    writer_.Shape("line", {{"class", tick == 0.0 ? "zero" : "grid"},
                           {"x1", C(x_.at_low)},
                           {"x2", C(x_.at_high)},
                           {"y1", C(at)},
                           {"y2", C(at)}});
    writer_.Leaf("text", TickText(tick, step),
                 {{"class", "tick"},
                  {"x", C(x_.at_low - 6.0)},
                  {"y", C(at)},
                  {"dy", "0.35em"},
                  {"text-anchor", "end"}});
  }
  writer_.Leaf("text", title, {{"class", "axis"}, {"x", "2"}, {"y", "14"}});
  writer_.Line();
}

void SvgPlot::Box(double x0, double x1, double y0, double y1,
                  std::string_view cls) {
  const double left = x_.At(std::clamp(x0, x_.low, x_.high));
  const double right = x_.At(std::clamp(x1, x_.low, x_.high));
  const double one = y_.At(std::clamp(y0, y_.low, y_.high));
  const double other = y_.At(std::clamp(y1, y_.low, y_.high));
  const double top = std::min(one, other);
  const double bottom = std::max(one, other);
  if (right <= left || bottom <= top) return;
  writer_.Shape("rect", {{"class", std::string(cls)},
                         {"x", C(left)},
                         {"y", C(top)},
                         {"width", C(right - left)},
                         {"height", C(bottom - top)}});
}

void SvgPlot::Hatch(double x0, double x1) {
  const double left = x_.At(std::clamp(x0, x_.low, x_.high));
  const double right = x_.At(std::clamp(x1, x_.low, x_.high));
  if (right <= left) return;
  const double top = std::min(y_.at_low, y_.at_high);
  const double bottom = std::max(y_.at_low, y_.at_high);
  Box(x0, x1, y_.low, y_.high, "gap");
  // Lines at 45 degrees, each cut to the box by hand: a pattern would need an
  // id, and ids are the page's, not the picture's.
  std::string path;
  constexpr double kStep = 5.0;
  const double first = std::floor((left + top) / kStep) * kStep + kStep;
  for (double sum = first; sum < right + bottom; sum += kStep) {
    const double xa = std::max(left, sum - bottom);
    const double xb = std::min(right, sum - top);
    if (xb <= xa) continue;
    path += fmt::format("M{} {}L{} {}", C(xa), C(sum - xa), C(xb), C(sum - xb));
  }
  writer_.Shape("path", {{"class", "hatch"}, {"d", path}});
}

void SvgPlot::Segment(double x0, double y0, double x1, double y1,
                      std::string_view cls) {
  writer_.Shape("line", {{"class", std::string(cls)},
                         {"x1", C(Between(x_.At(x0), x_.at_low, x_.at_high))},
                         {"y1", C(Between(y_.At(y0), y_.at_low, y_.at_high))},
                         {"x2", C(Between(x_.At(x1), x_.at_low, x_.at_high))},
                         {"y2", C(Between(y_.At(y1), y_.at_low, y_.at_high))}});
}

void SvgPlot::Label(double x, double y, double dx, double dy,
                    std::string_view text, std::string_view cls,
                    std::string_view anchor) {
  writer_.Leaf("text", text,
               {{"class", std::string(cls)},
                {"x", C(x_.At(x) + dx)},
                {"y", C(y_.At(y) + dy)},
                {"text-anchor", std::string(anchor)}});
}

void SvgPlot::Trace(const TraceColumns& trace, double shift_s,
                    double solid_to) {
  const std::size_t count = std::min(trace.low_n.size(), trace.high_n.size());
  const auto missing = [&trace](std::size_t i) {
    return !std::isfinite(trace.low_n[i]) || !std::isfinite(trace.high_n[i]);
  };
  const auto beyond = [&trace, solid_to](std::size_t i) {
    return static_cast<double>(trace.high_n[i]) > solid_to;
  };
  for (std::size_t i = 0; i < count;) {
    std::size_t end = i + 1;
    if (missing(i)) {
      while (end < count && missing(end)) ++end;
      const double start = trace.start_s - shift_s;
      Hatch(start + static_cast<double>(i) * trace.column_s,
            start + static_cast<double>(end) * trace.column_s);
      i = end;
      continue;
    }
    const bool out = beyond(i);
    while (end < count && !missing(end) && beyond(end) == out) ++end;
    // One column of overlap joins a solid run to the dashed one after it.
    const bool joined = end < count && !missing(end);
    Run(trace, shift_s, i, joined ? end + 1 : end, out);
    i = end;
  }
  writer_.Line();
}

void SvgPlot::Run(const TraceColumns& trace, double shift_s, std::size_t from,
                  std::size_t to, bool beyond) {
  const auto column = [&](std::size_t i) {
    const double s = trace.start_s - shift_s +
                     (static_cast<double>(i) + 0.5) * trace.column_s;
    return C(x_.At(s));
  };
  const auto level = [this](float force) {
    const double n = static_cast<double>(force);
    return C(y_.At(std::clamp(n, y_.low, y_.high)));
  };
  std::string upper;
  std::string lower;
  for (std::size_t i = from; i < to; ++i) {
    upper += fmt::format("{}{} {}", i == from ? "M" : "L", column(i),
                         level(trace.high_n[i]));
  }
  if (beyond) {
    writer_.Shape("path", {{"class", "trace beyond"}, {"d", upper}});
    return;
  }
  if (to - from == 1) upper += "h0.5";
  for (std::size_t i = to; i-- > from;) {
    lower += fmt::format("L{} {}", column(i), level(trace.low_n[i]));
  }
  writer_.Shape("path", {{"class", "trace"}, {"d", upper + lower + "Z"}});
}

void VerdictShape(HtmlWriter& writer, double x, double y, double r,
                  Verdict verdict, bool at_least) {
  const std::string cls = "shape " + std::string(VerdictClass(verdict));
  if (at_least && verdict != Verdict::kVoid) {
    writer.Shape("path",
                 {{"class", cls + " full"},
                  {"d", fmt::format("M{} {}L{} {}H{}V{}H{}V{}H{}Z", C(x),
                                    C(y - 1.35 * r), C(x + 1.15 * r), C(y),
                                    C(x + 0.42 * r), C(y + 1.2 * r),
                                    C(x - 0.42 * r), C(y), C(x - 1.15 * r))}});
    return;
  }
  if (verdict == Verdict::kSound) {
    writer.Shape(
        "circle",
        {{"class", cls + " full"}, {"cx", C(x)}, {"cy", C(y)}, {"r", C(r)}});
    return;
  }
  writer.Shape("circle", {{"class", cls + " open"},
                          {"cx", C(x)},
                          {"cy", C(y)},
                          {"r", C(r * 0.92)}});
  if (verdict == Verdict::kDoubtful) {
    writer.Shape("path",
                 {{"class", cls + " full"},
                  {"d", fmt::format("M{} {}a{} {} 0 0 0 0 {}Z", C(x), C(y - r),
                                    C(r), C(r), C(2.0 * r))}});
  } else {
    writer.Shape("line", {{"class", cls + " bar"},
                          {"x1", C(x - 0.62 * r)},
                          {"x2", C(x + 0.62 * r)},
                          {"y1", C(y + 0.62 * r)},
                          {"y2", C(y - 0.62 * r)}});
  }
}

void InlineShape(HtmlWriter& writer, Verdict verdict, bool at_least) {
  const Scope svg(
      writer, "svg",
      {{"class", "mark"}, {"viewBox", "0 0 16 16"}, {"aria-hidden", "true"}});
  VerdictShape(writer, 8.0, 8.0, 6.0, verdict, at_least);
}

std::string_view VerdictName(Verdict verdict, bool at_least) {
  if (at_least && verdict != Verdict::kVoid) return "at least";
  return VerdictWord(verdict);
}

std::string_view VerdictClass(Verdict verdict) {
  switch (verdict) {
    case Verdict::kSound:
      return "v-sound";
    case Verdict::kDoubtful:
      return "v-doubtful";
    case Verdict::kVoid:
      break;
  }
  return "v-void";
}

}  // namespace masseter::report
