#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "report/figure_text.h"
#include "report/report_summary.h"
#include "report/sections.h"
#include "report/svg_plot.h"

namespace masseter::report {
namespace {

constexpr int kForceTicks = 4;

double HighestOf(const TraceColumns& trace) {
  double highest = 0.0;
  for (const float force : trace.high_n) {
    if (std::isfinite(force)) {
      highest = std::max(highest, static_cast<double>(force));
    }
  }
  return highest;
}

// Upper end of the force axis for all of a dog's bites, from those that have a
// figure, so that a broken word of a void bite does not flatten the others.
double SharedTop(const ReportDog& dog) {
  double top = 0.0;
  double any = 0.0;
  for (const ReportBite& entry : dog.bites) {
    any = std::max(any, HighestOf(entry.trace));
    if (!PeakLow(entry.bite)) continue;
    const double peak = *entry.bite.peak_n;
    const double high = PeakHigh(entry.bite).value_or(peak);
    top = std::max({top, peak * 1.04, std::min(high, peak * 1.5)});
    top = std::max(top, std::min(HighestOf(entry.trace), peak * 1.5));
  }
  return NiceTop(top > 0.0 ? top : any, kForceTicks);
}

void OneBite(HtmlWriter& w, const ReportBite& entry, std::size_t number,
             const ReportModel& model, double top_n) {
  const Scope article(w, "article",
                      {{"id", fmt::format("bite-{}", entry.bite.id)}});
  {
    const Scope head(w, "div", {{"class", "head"}});
    {
      const Scope title(w, "h3");
      w.Text(fmt::format("Bite {}", entry.bite.id));
      w.Leaf("small",
             fmt::format("the dog’s no. {}, {} into recording {}", number,
                         ClockText(entry.bite.start_s), entry.capture));
    }
    WritePeak(w, entry.bite);
  }
  {
    const Scope figure(w, "figure");
    const std::string caption =
        WriteBitePicture(w, entry, model.calibration, top_n);
    w.Leaf("figcaption",
           caption.empty() ? "There are no samples to draw." : caption);
  }
  WriteMeasures(w, entry.bite);
  WriteReasons(w, entry.bite);
  WriteBudget(w, entry.bite);
  w.Line();
}

std::string About(const ReportDog& dog) {
  std::string text = dog.breed;
  const auto add = [&text](const std::string& more) {
    text += (text.empty() ? "" : ", ") + more;
  };
  if (dog.mass_kg) add(FixedText(*dog.mass_kg, 1) + " kg");
  const VerdictCounts n = CountVerdicts(dog.bites);
  add(CountText(n.all(), "bite"));
  if (n.all() > 0) {
    add(fmt::format("{} sound, {} doubtful, {} at least, {} void", n.sound,
                    n.doubtful, n.at_least, n.no_figure));
  }
  return text + ".";
}

}  // namespace

void WriteDogs(HtmlWriter& w, const ReportModel& model) {
  bool first = true;
  for (const ReportDog& dog : model.dogs) {
    if (dog.bites.empty()) continue;
    const Scope section(w, "section",
                        {{"class", "dog"}, {"id", DogAnchor(model, dog)}});
    w.Leaf("h2", DogTitle(dog));
    w.Leaf("p", About(dog), {{"class", "about"}});
    if (dog.name.empty()) {
      w.Leaf("p",
             "These bites were measured while no dog was marked as up. They "
             "count for no dog.");
    }
    if (first) {
      w.Leaf("p",
             "How to read a trace: the shaded strip is the strike, the first "
             "0.20 s; the bar is the squeeze, the highest mean over 0.25 s "
             "after it; the shape is the peak with its interval. The traces "
             "of one dog share one force scale. Intervals are computed for "
             "the peak and the squeeze; the other measures are rounded as if "
             "they were as sure as the peak.",
             {{"class", "how"}});
      first = false;
    }
    const double top_n = SharedTop(dog);
    std::size_t number = 0;
    for (const ReportBite& entry : dog.bites) {
      OneBite(w, entry, ++number, model, top_n);
    }
  }
}

}  // namespace masseter::report
