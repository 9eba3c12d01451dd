#include "report/health_pictures.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "report/figure_text.h"
#include "report/health_curves.h"
#include "report/significant.h"
#include "report/svg_plot.h"

namespace masseter::report {
namespace {

constexpr std::size_t kColumns = 300;
constexpr double kLeft = 58.0;
constexpr double kRight = kPictureWidth - 64.0;  // labels stand behind
constexpr double kHair = 2.4;                    // least width of a break

// Room above and below what is shown, zero among it.
std::pair<double, double> Room(double low, double high) {
  const double pad = 0.06 * std::max(high - low, 1e-9);
  return {low < 0.0 ? low - pad : 0.0, high > 0.0 ? high + pad : pad};
}

// Gaps hatched, restarts as a line; what is narrower than a hair is drawn as
// wide as one, and not twice at one place.
void Breaks(SvgPlot& plot, const HealthPictures& p, double unit_s) {
  const double hair = kHair * (plot.x().high - plot.x().low) /
                      (plot.x().at_high - plot.x().at_low);
  double drawn = -1e300;
  for (const BreakRecord& b : p.breaks) {
    const double to = b.t_s / unit_s;
    const double from = std::min(to - b.duration_s / unit_s, to - hair);
    if (to <= drawn + 0.5 * hair) continue;
    drawn = to;
    if (b.kind == Break::kRestart) {
      plot.Segment(to, plot.y().low, to, plot.y().high, "restart");
    } else {
      plot.Hatch(from, to);
    }
  }
}

std::string BreaksCaption(const HealthPictures& p) {
  std::size_t gaps = 0;
  std::size_t restarts = 0;
  double longest_s = 0.0;
  for (const BreakRecord& b : p.breaks) {
    gaps += b.kind == Break::kGap ? 1U : 0U;
    restarts += b.kind == Break::kRestart ? 1U : 0U;
    if (b.kind == Break::kGap) longest_s = std::max(longest_s, b.duration_s);
  }
  std::string out;
  if (gaps > 0) {
    out += fmt::format(" Hatched: {}, the longest {}.", CountText(gaps, "gap"),
                       SecondsText(longest_s));
  }
  if (restarts > 0) {
    out += fmt::format(" Upright line: {}.", CountText(restarts, "restart"));
  }
  return out.empty() ? " No gap, no restart." : out;
}

struct ZeroCurve {
  std::string name;
  std::string cls;
  Points points;  // s, N
};

std::vector<ZeroCurve> ZeroCurves(const HealthPictures& p) {
  std::vector<ZeroCurve> curves;
  for (std::size_t c = 0; c < p.channels.size(); ++c) {
    curves.push_back({p.channels[c], "zero-one d" + std::to_string(c % 4),
                      HealthCurve(p, kColumns, [c](const HealthSecond& s) {
                        return c < s.zero.size()
                                   ? std::optional<double>(s.zero[c])
                                   : std::nullopt;
                      })});
  }
  if (curves.size() < 2) {
    curves.front().cls = "zero-all";
    return curves;
  }
  curves.push_back(
      {"all", "zero-all", HealthCurve(p, kColumns, [](const HealthSecond& s) {
         if (s.zero.empty()) return std::optional<double>();
         double sum = 0.0;
         for (const double z : s.zero) sum += z;
         return std::optional<double>(sum);
       })});
  return curves;
}

// Names behind the curves' ends, pushed apart until each can be read.
void Names(SvgPlot& plot, const std::vector<ZeroCurve>& curves) {
  constexpr double kApart = 14.0;
  std::vector<std::pair<double, const ZeroCurve*>> ends;
  for (const ZeroCurve& c : curves) {
    ends.push_back({plot.y().At(c.points.back().second), &c});
  }
  std::stable_sort(ends.begin(), ends.end(), [](const auto& a, const auto& b) {
    return a.first < b.first;
  });
  const double room =
      plot.y().at_low - kApart * static_cast<double>(ends.size() - 1);
  double least = plot.y().at_high;
  for (std::size_t i = 0; i < ends.size(); ++i) {
    const double most = room + kApart * static_cast<double>(i);
    const double y = std::min(std::max(ends[i].first, least), most);
    least = y + kApart;
    plot.writer().Leaf(
        "text", ends[i].second->name,
        {{"class", ends[i].second->cls == "zero-all" ? "end all" : "end"},
         {"x", Coordinate(kRight + 7.0)},
         {"y", Coordinate(y + 4.0)}});
  }
}

}  // namespace

void WriteHealthForce(HtmlWriter& w, const HealthPictures& p) {
  if (p.force.low().empty()) return;
  const TimeFoot foot = TimeFootOf(p);
  const TraceColumns trace = {0.0, p.force.cell_s() / foot.unit_s,
                              p.force.low(), p.force.high()};
  double low = 0.0;
  double high = 0.0;
  for (std::size_t k = 0; k < trace.low_n.size(); ++k) {
    low = std::fmin(low, trace.low_n[k]);
    high = std::fmax(high, trace.high_n[k]);
  }
  const auto [bottom, top] = Room(low, high);
  const Scope figure(w, "figure");
  {
    SvgPlot plot(w, 148.0, "Force over the capture, gaps hatched",
                 {0.0, EndOf(p) / foot.unit_s, kLeft, kRight},
                 {bottom, top, 112.0, 24.0});
    plot.XAxis(foot.title, 8);
    plot.YAxis(fmt::format("Force from rest ({})", HealthUnit(p)), 3);
    plot.Trace(trace, 0.0, 1e300);
    Breaks(plot, p, foot.unit_s);
  }
  w.Leaf("figcaption",
         "Lowest to highest force of each moment: bites and hands stand up, "
         "rest lies at zero." +
             BreaksCaption(p));
}

void WriteHealthZero(HtmlWriter& w, const HealthPictures& p) {
  if (p.channels.empty()) return;
  const std::vector<ZeroCurve> curves = ZeroCurves(p);
  if (curves.back().points.size() < 2) return;
  double low = 0.0;
  double high = 0.0;
  double all_low = 1e300;
  double all_high = -1e300;
  for (const ZeroCurve& curve : curves) {
    for (const auto& [t, z] : curve.points) {
      low = std::min(low, z);
      high = std::max(high, z);
      if (curve.cls != "zero-all") continue;
      all_low = std::min(all_low, z);
      all_high = std::max(all_high, z);
    }
  }
  const double middle = 0.5 * (all_low + all_high);
  low = std::min(low, middle - 0.55 * p.zero_watch);
  high = std::max(high, middle + 0.55 * p.zero_watch);
  const TimeFoot foot = TimeFootOf(p);
  const auto [bottom, top] = Room(low, high);
  const Scope figure(w, "figure");
  {
    SvgPlot plot(w, 168.0, "Zero of every channel over the capture",
                 {0.0, EndOf(p) / foot.unit_s, kLeft, kRight},
                 {bottom, top, 132.0, 24.0});
    plot.Box(plot.x().low, plot.x().high, middle - 0.5 * p.zero_watch,
             middle + 0.5 * p.zero_watch, "range");
    plot.XAxis(foot.title, 8);
    plot.YAxis(fmt::format("Zero, from the first ({})", HealthUnit(p)), 4);
    for (const ZeroCurve& curve : curves) {
      Points at;
      for (const auto& [t, z] : curve.points) {
        at.push_back({plot.x().At(t / foot.unit_s), plot.y().At(z)});
      }
      w.Shape("path", {{"class", curve.cls}, {"d", PathOf(at)}});
    }
    Names(plot, curves);
  }
  w.Leaf("figcaption",
         fmt::format("Quiet seconds only. The strong line, {}, is judged: it "
                     "should stay in a band as wide as the faint one, {}{}.",
                     curves.size() > 1 ? "all channels together" : "the zero",
                     Significant(p.zero_watch, 2),
                     p.in_newtons ? " N" : " of the channels' unit"));
}

}  // namespace masseter::report
