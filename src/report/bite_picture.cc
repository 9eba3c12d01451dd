#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "report/figure_text.h"
#include "report/sections.h"
#include "report/svg_plot.h"

namespace masseter::report {
namespace {

constexpr double kStrikeS = 0.20;   // docs/method.md section 1
constexpr double kSqueezeS = 0.25;  // docs/method.md section 1
constexpr double kLane = 15.0;      // height of one line of evidence
constexpr std::size_t kMostLanes = 4;
constexpr double kFrameHeight = 122.0;

bool Spans(const Reason& reason, double from_s, double to_s) {
  return reason.end_s > reason.start_s && reason.end_s > from_s &&
         reason.start_s < to_s;
}

// Where in the trace each reason lies, as bars above the frame.
void EvidenceLanes(SvgPlot& plot, const Bite& bite,
                   const std::vector<const Reason*>& lanes) {
  HtmlWriter& w = plot.writer();
  double at = plot.y().at_high - kLane * static_cast<double>(lanes.size());
  for (const Reason* reason : lanes) {
    const auto place = [&](double s) {
      return plot.x().At(
          std::clamp(s - bite.start_s, plot.x().low, plot.x().high));
    };
    const double left = place(reason->start_s);
    const double right = std::max(place(reason->end_s), left + 3.0);
    w.Shape("rect", {{"class", "evidence"},
                     {"x", Coordinate(left)},
                     {"y", Coordinate(at + 4.0)},
                     {"width", Coordinate(right - left)},
                     {"height", "4"}});
    // At the right edge the word stands on its bar, else beside it.
    const bool flip = right > kPictureWidth - 110.0;
    w.Leaf("text", ReasonWord(reason->code),
           {{"class", "why"},
            {"x", Coordinate(flip ? right - 6.0 : right + 5.0)},
            {"y", Coordinate(at + 6.0)},
            {"dy", "0.35em"},
            {"text-anchor", flip ? "end" : "start"}});
    at += kLane;
  }
}

void Strike(SvgPlot& plot, const Bite& bite) {
  const double end = std::min(kStrikeS, bite.duration_s);
  plot.Box(0.0, end, plot.y().low, plot.y().high, "strike");
}

void Squeeze(SvgPlot& plot, const ReportBite& entry) {
  const Bite& bite = entry.bite;
  if (!entry.squeeze_at_s || !bite.squeeze_n || !PeakLow(bite)) return;
  const double from = *entry.squeeze_at_s - bite.start_s;
  plot.Segment(from, *bite.squeeze_n, from + kSqueezeS, *bite.squeeze_n,
               "squeeze");
  plot.Label(from + kSqueezeS / 2.0, *bite.squeeze_n, 0.0, 17.0, "squeeze",
             "note", "middle");
}

void Regrips(SvgPlot& plot, const ReportBite& entry) {
  for (const double at_s : entry.regrip_at_s) {
    const double x = plot.x().At(at_s - entry.bite.start_s);
    const double y = plot.y().At(0.0);
    plot.writer().Shape(
        "path",
        {{"class", "regrip"},
         {"d", fmt::format("M{} {}v-9", Coordinate(x), Coordinate(y))}});
  }
}

void Peak(SvgPlot& plot, const Bite& bite) {
  if (!PeakLow(bite)) return;
  const double at = bite.peak_at_s - bite.start_s;
  const std::string cls = "whisker " + std::string(VerdictClass(bite.verdict));
  const double high = PeakHigh(bite).value_or(*bite.peak_n);
  plot.Segment(at, *PeakLow(bite), at, high, cls);
  VerdictShape(
      plot.writer(), plot.x().At(at),
      plot.y().At(std::clamp(*bite.peak_n, plot.y().low, plot.y().high)), 4.6,
      bite.verdict, bite.at_least);
}

struct TraceFacts {
  bool any = false;
  double lowest_n = 0.0;
  double highest_n = 0.0;
  double missing_s = 0.0;
};

TraceFacts LookAt(const TraceColumns& trace) {
  TraceFacts facts;
  for (std::size_t i = 0; i < trace.high_n.size(); ++i) {
    if (!std::isfinite(trace.high_n[i])) {
      facts.missing_s += trace.column_s;
      continue;
    }
    facts.any = true;
    facts.lowest_n =
        std::min(facts.lowest_n, static_cast<double>(trace.low_n[i]));
    facts.highest_n =
        std::max(facts.highest_n, static_cast<double>(trace.high_n[i]));
  }
  return facts;
}

std::string Caption(const ReportBite& entry, const TraceFacts& facts,
                    const std::optional<ReportCalibration>& range,
                    double top_n) {
  const Bite& bite = entry.bite;
  std::string text;
  if (PeakLow(bite)) {
    text = fmt::format("The highest force comes {} after the start",
                       SecondsText(bite.peak_at_s - bite.start_s));
    if (bite.peak_at_s - bite.start_s <= kStrikeS) text += ", in the strike";
    text += ".";
  }
  if (range && facts.highest_n > range->force_high_n) {
    text += fmt::format(" Dashed above {} N: beyond the calibrated range.",
                        FixedText(range->force_high_n, 0));
  }
  if (facts.missing_s > 0.0) text += " Hatched: samples are missing.";
  if (facts.highest_n > top_n) text += " The trace runs off the scale.";
  if (!entry.regrip_at_s.empty()) text += " Ticks on the zero line: re-grips.";
  return text;
}

}  // namespace

std::string WriteBitePicture(HtmlWriter& w, const ReportBite& entry,
                             const std::optional<ReportCalibration>& range,
                             double top_n) {
  const Bite& bite = entry.bite;
  const TraceColumns& trace = entry.trace;
  const TraceFacts facts = LookAt(trace);
  if (!facts.any || !(trace.column_s > 0.0)) return "";
  const double from_s = trace.start_s;
  const double to_s =
      from_s + trace.column_s * static_cast<double>(trace.high_n.size());
  std::vector<const Reason*> lanes;
  for (const Reason& reason : bite.reasons) {
    if (Spans(reason, from_s, to_s) && lanes.size() < kMostLanes) {
      lanes.push_back(&reason);
    }
  }
  const double low_n = facts.lowest_n < -0.04 * top_n
                           ? -NiceTop(std::min(-facts.lowest_n, 0.3 * top_n), 2)
                           : -0.03 * top_n;
  const double top = 24.0 + kLane * static_cast<double>(lanes.size());
  const Axis x = {from_s - bite.start_s, to_s - bite.start_s, 58.0,
                  kPictureWidth - 12.0};
  const Axis y = {low_n, top_n, top + kFrameHeight, top};
  SvgPlot plot(w, top + kFrameHeight + 42.0,
               fmt::format("Force over time of bite {}", bite.id), x, y);
  if (range) {
    plot.Box(x.low, x.high, range->force_low_n, range->force_high_n, "range");
  }
  Strike(plot, bite);
  plot.XAxis("Time since the bite began (s)", 7);
  plot.YAxis("Force (N)", 4);
  plot.Trace(trace, bite.start_s, range ? range->force_high_n : INFINITY);
  plot.Label(std::min(kStrikeS, bite.duration_s), y.high, 4.0, 12.0, "strike",
             "note");
  Squeeze(plot, entry);
  Regrips(plot, entry);
  Peak(plot, bite);
  EvidenceLanes(plot, bite, lanes);
  return Caption(entry, facts, range, top_n);
}

}  // namespace masseter::report
