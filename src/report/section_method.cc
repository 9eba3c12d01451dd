#include <fmt/format.h>

#include <initializer_list>
#include <string>
#include <utility>

#include "report/figure_text.h"
#include "report/report_summary.h"
#include "report/sections.h"

namespace masseter::report {
namespace {

using Point = std::pair<std::string_view, std::string_view>;

void Points(HtmlWriter& w, std::initializer_list<Point> points) {
  const Scope list(w, "dl", {{"class", "points"}});
  for (const auto& [name, text] : points) {
    w.Leaf("dt", name);
    w.Leaf("dd", text);
  }
  w.Line();
}

void Method(HtmlWriter& w, const ReportModel& model) {
  const Scope section(w, "section", {{"class", "page"}, {"id", "method"}});
  w.Leaf("h2", "The method in a page");
  Points(
      w,
      {{"Force",
        "The total force that the jaws put through the sleeve, in newtons, "
        "from the signals of all cells by the form that the calibration "
        "chose."},
       {"Zero",
        "Followed through quiet stretches by a running median; its movement "
        "between the quiet before a bite and the quiet after it is part of "
        "the uncertainty."},
       {"A bite",
        "Begins and ends where the force crosses thresholds that are set from "
        "the noise. A release shorter than 0.4 s stays inside the bite and "
        "counts as a re-grip."},
       {"Peak and strike",
        "The highest force of the whole bite, and of its first 0.20 s, in "
        "which a running dog is stopped. The filter is a zero-phase channel "
        "class of ISO 6487 and SAE J211-1; it does not move a peak in time."},
       {"Squeeze",
        "The highest mean over 0.25 s that begins at least 0.20 s after the "
        "start: the jaws, without the run-up."},
       {"Held, impulse, rise",
        "The mean force while above half the peak; force summed over time from "
        "start to end; the time from 10 to 90 % of the peak."},
       {"Interval",
        "A budget line by line as in JCGM 100 (GUM), with a coverage of 95 %. "
        "Evidence of a fault widens it."},
       {"Verdict",
        "Each fault is looked for by itself: missing samples, restarts, a "
        "sagging supply, a converter at the end of its scale, stuck or loose "
        "channels, spikes, a moved zero, slow sampling, grips outside the "
        "calibrated area. What each could have done to the figure, in "
        "newtons, decides between sound, doubtful and void. Where part "
        "of the force was not seen (a trace ends while it stands or rises, a "
        "converter is at its end, a strike may pass between two samples), the "
        "figure is a lower bound."}});
  w.Leaf("p",
         fmt::format("Made {} by masseter {}, method {}, from the logbook {}. "
                     "Every figure can be computed again from the raw samples "
                     "in it.",
                     model.made, model.program_version, model.method_version,
                     model.logbook),
         {{"class", "about"}});
}

std::string WhyVoid(const Bite& bite) {
  std::string text;
  for (const Reason& reason : bite.reasons) {
    text += (text.empty() ? "" : "; ") + reason.text;
  }
  return text.empty() ? "no peak could be computed" : text;
}

void Exclusions(HtmlWriter& w, const ReportModel& model) {
  const Scope section(w, "section", {{"id", "exclusions"}});
  w.Leaf("h2", "What was left out");
  const VerdictCounts counts = Summarize(model).counts;
  if (counts.no_figure == 0) {
    w.Leaf("p", counts.all() == 0
                    ? "Nothing: there was no bite."
                    : "Nothing: no bite is void. Bites that are doubtful or "
                      "lower bounds are shown as such and are not left out.");
    return;
  }
  const bool one = counts.no_figure == 1;
  w.Leaf("p",
         fmt::format("{} of {} {} void: no honest figure can be given. {} in "
                     "this report with {}.",
                     counts.no_figure, CountText(counts.all(), "bite"),
                     one ? "is" : "are", one ? "It stays" : "They stay",
                     one ? "its trace" : "their traces"));
  const Scope list(w, "ul", {{"class", "reasons"}});
  for (const ReportDog& dog : model.dogs) {
    for (const ReportBite& entry : dog.bites) {
      if (PeakLow(entry.bite)) continue;
      const Scope item(w, "li");
      w.Leaf("b", fmt::format("Bite {}", entry.bite.id));
      w.Text(fmt::format(" ({}): {}.",
                         dog.name.empty() ? "nobody up" : dog.name,
                         WhyVoid(entry.bite)));
    }
  }
}

void Meaning(HtmlWriter& w) {
  const Scope section(w, "section", {{"id", "meaning"}});
  w.Leaf("h2", "What these figures do not mean");
  Points(
      w,
      {{"Not a pressure",
        "Pressure is force over a contact area, and nobody measured the area "
        "of teeth in the cover. These newtons cannot be turned into one."},
       {"Not any sleeve",
        "Dogs close with less force the wider they must open, and differently "
        "on another cover. Figures hold for this thickness and this cover; "
        "compare only with equal ones."},
       {"Not a breed",
        "Dogs of one breed differ by more than breeds do. A few dogs on one "
        "day rank no breed."},
       {"Not a dog’s worth",
        "A bite depends on the run-up, the helper, the day and the dog’s mood. "
        "Small differences between single bites are chance."},
       {"Not an injury",
        "The figures do not say what a bite would do to a person."}});
}

void Cautions(HtmlWriter& w) {
  const Scope section(w, "section", {{"id", "cautions"}});
  w.Leaf("h2", "Cautions");
  w.Leaf("p",
         "This report replaces no judgement. The trainer decides whether and "
         "how a dog works, the veterinarian about its health, a licensed "
         "practice about medical matters, and local rules come before all.");
  Points(
      w,
      {{"The dog’s teeth and mouth",
        "Nothing hard or sharp may lie where the dog bites. Look into the "
        "mouth before and after. A dog that suddenly bites with less force may "
        "be in pain: stop, and ask a veterinarian."},
       {"Neck, back and legs",
        "Being stopped at a run loads the body more than the jaws. Prefer "
        "short approaches when the squeeze is what you want to know."},
       {"The helper’s arm",
        "The sleeve must protect the arm as well as the one it replaces, also "
        "when a part breaks. Watch the dog, not a screen."},
       {"Heat",
        "Dogs go on warming up after work. Shade, water, pauses; stop at the "
        "first sign of overheating and see a veterinarian."},
       {"Lithium cells",
        "Never under the bite area, protected from teeth and crushing. A cell "
        "that was bitten, bent or is hot goes outside, away from people and "
        "dogs."}});
}

}  // namespace

void WriteMethod(HtmlWriter& w, const ReportModel& model) {
  Method(w, model);
  Exclusions(w, model);
  Meaning(w);
  Cautions(w);
}

}  // namespace masseter::report
