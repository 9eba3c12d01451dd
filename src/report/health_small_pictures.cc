#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "report/figure_text.h"
#include "report/health_curves.h"
#include "report/health_pictures.h"
#include "report/significant.h"
#include "report/svg_plot.h"

namespace masseter::report {
namespace {

constexpr double kThird = 210.0;  // width of a small picture

double LastBin(const HealthPictures& p) {
  for (std::size_t k = HealthPictures::kBins; k-- > 0;) {
    if (p.steps[k] > 0) return static_cast<double>(k);
  }
  return 0.0;
}

}  // namespace

void WriteHealthSteps(HtmlWriter& w, const HealthPictures& p) {
  const double most =
      static_cast<double>(*std::max_element(p.steps.begin(), p.steps.end()));
  if (most == 0.0) return;
  const double bin_ms = 1000.0 * p.period_s / HealthPictures::kBinsAPeriod;
  const double end_ms = bin_ms * std::max(LastBin(p) + 4.0, 80.0);
  const double decades = 1.08 * std::log10(most) + 0.1;
  const Scope figure(w, "figure");
  {
    SvgPlot plot(w, 170.0, "Steps of the clock, by length",
                 {0.0, end_ms, 54.0, kThird - 8.0},
                 {-0.3, decades, 132.0, 26.0}, kThird);
    plot.XAxis("Step of the clock (ms)", 4);
    w.Leaf("text", "Steps", {{"class", "axis"}, {"x", "2"}, {"y", "14"}});
    for (double k = 0.0; k <= decades; k += decades > 4.0 ? 2.0 : 1.0) {
      plot.Segment(0.0, k, end_ms, k, "grid");
      plot.Label(0.0, k, -5.0, 4.0,
                 GroupedText(static_cast<std::uint64_t>(
                     std::llround(std::pow(10.0, k)))),
                 "tick", "end");
    }
    for (std::size_t k = 0; k < HealthPictures::kBins; ++k) {
      if (p.steps[k] == 0) continue;
      const double at = bin_ms * static_cast<double>(k);
      plot.Box(at - 0.5 * bin_ms, at + 0.5 * bin_ms, -0.3,
               std::log10(static_cast<double>(p.steps[k])), "bar");
    }
  }
  w.Leaf("figcaption",
         fmt::format("A steady clock is one needle at {} ms. The scale is by "
                     "tens, so a single step shows.",
                     Significant(1000.0 * p.period_s, 3)));
}

void WriteHealthNoise(HtmlWriter& w, const HealthPictures& p) {
  if (p.noise.empty()) return;
  double most = 1.15 * p.noise.front().watch;
  for (const HealthNoise& n : p.noise) most = std::max(most, 1.25 * n.noise);
  const double pitch =
      std::min(26.0, 106.0 / static_cast<double>(p.noise.size()));

  const Scope figure(w, "figure");
  {
    SvgPlot plot(w, 170.0, "Noise of every channel",
                 {0.0, most, 40.0, kThird - 8.0},
                 {-static_cast<double>(p.noise.size()), 0.0, 132.0,
                  132.0 - pitch * static_cast<double>(p.noise.size())},
                 kThird);
    plot.XAxis(fmt::format("Noise of a sample ({})", HealthUnit(p)), 3);
    const auto edge = [&](double at, std::string_view cls) {
      if (at < most) plot.Segment(at, plot.y().low, at, plot.y().high, cls);
    };
    edge(p.noise.front().watch, "edge");
    edge(p.noise.front().no_go, "edge hard");
    for (std::size_t c = 0; c < p.noise.size(); ++c) {
      const HealthNoise& n = p.noise[c];
      const double row = -static_cast<double>(c);
      const char* cls = n.noise > n.no_go   ? "bar v-void"
                        : n.noise > n.watch ? "bar v-doubtful"
                                            : "bar";
      plot.Box(0.0, n.noise, row - 0.75, row - 0.25, cls);
      plot.Label(0.0, row - 0.5, -6.0, 4.0, n.channel, "tick", "end");
      plot.Label(n.noise, row - 0.5, 5.0, 4.0, Significant(n.noise, 2), "tick");
    }
  }
  w.Leaf("figcaption",
         "Standard deviation in quiet seconds. Dashed: watched from there; "
         "neighbours should be alike.");
}

void WriteHealthSupply(HtmlWriter& w, const HealthPictures& p) {
  const auto points =
      HealthCurve(p, 150, [](const HealthSecond& s) { return s.supply_mv; });
  if (points.size() < 2) return;
  double low = p.supply_minimum_mv.value_or(points.front().second);
  double high = low;
  for (const HealthSecond& s : p.seconds) {
    if (!s.supply_mv) continue;
    low = std::min(low, *s.supply_mv);
    high = std::max(high, *s.supply_mv);
  }
  const double pad = std::max(0.12 * (high - low), 20.0);
  const TimeFoot foot = TimeFootOf(p);
  const Scope figure(w, "figure");
  {
    SvgPlot plot(w, 170.0, "Supply over the capture",
                 {0.0, EndOf(p) / foot.unit_s, 40.0, kThird - 8.0},
                 {(low - pad) / 1000.0, (high + pad) / 1000.0, 132.0, 26.0},
                 kThird);
    plot.XAxis(foot.title, 4);
    plot.YAxis("Supply, lowest of each second (V)", 4);
    if (p.supply_minimum_mv) {
      const double v = *p.supply_minimum_mv / 1000.0;
      plot.Segment(plot.x().low, v, plot.x().high, v, "edge hard");
    }
    Points at;
    for (const auto& [t, mv] : points) {
      at.push_back({plot.x().At(t / foot.unit_s), plot.y().At(mv / 1000.0)});
    }
    w.Shape("path", {{"class", "supply"}, {"d", PathOf(at)}});
  }
  w.Leaf("figcaption",
         p.supply_minimum_mv
             ? "It should fall slowly and stay above the rig's minimum, the "
               "straight line."
             : "It should fall slowly; the rig names no minimum.");
}

}  // namespace masseter::report
