#include <fmt/format.h>

#include <string>

#include "report/figure_text.h"
#include "report/report_summary.h"
#include "report/sections.h"
#include "report/svg_plot.h"

namespace masseter::report {
namespace {

void Answer(HtmlWriter& w, std::string_view question, const std::string& lead,
            const std::string& text) {
  w.Leaf("dt", question);
  const Scope dd(w, "dd");
  if (!lead.empty()) w.Leaf("strong", lead);
  w.Text(lead.empty() ? text : " " + text);
  w.Line();
}

void Who(HtmlWriter& w, const ReportModel& model, const ReportSummary& sum) {
  std::string names;
  std::size_t shown = 0;
  for (const ReportDog& dog : model.dogs) {
    if (dog.name.empty()) continue;
    if (++shown > 8) break;
    names += fmt::format("{}{} ({})", names.empty() ? "" : ", ", dog.name,
                         dog.bites.size());
  }
  if (sum.named_dogs > 8) {
    names += fmt::format(" and {} more", sum.named_dogs - 8);
  }
  std::string text = names.empty() ? "" : names + ". ";
  if (!model.dogs.empty() && model.dogs.back().name.empty() &&
      !model.dogs.back().bites.empty()) {
    text += fmt::format(
        "{} nobody’s: no dog was marked as up. ",
        CountText(model.dogs.back().bites.size(), "bite is", "bites are"));
  }
  text += fmt::format("Recorded for {} in {}.", ClockText(sum.recorded_s),
                      CountText(model.captures.size(), "recording"));
  Answer(w, "Who was measured",
         fmt::format("{}, {}.", CountText(sum.named_dogs, "dog"),
                     CountText(sum.counts.all(), "bite")),
         text);
}

// "at least 812 N": the lower bound inside a sentence.
std::string BoundWords(const Bite& bite) {
  const std::string sign = "≥";
  return "at least" + PeakText(bite).substr(sign.size());
}

// The headline: the strongest bite that may be believed, as large as it gets.
void HowHard(HtmlWriter& w, const ReportSummary& sum) {
  w.Leaf("dt", "How hard");
  const Scope dd(w, "dd");
  if (sum.strongest.bite == nullptr) {
    w.Leaf("strong", "No bite has a figure with an interval.");
  } else {
    {
      const Scope hero(w, "div", {{"class", "hero"}});
      WritePeak(w, sum.strongest.bite->bite);
    }
    const bool sound = sum.strongest.bite->bite.verdict == Verdict::kSound;
    w.Text(fmt::format(
        "The strongest {} bite is {}{}, bite {}.", sound ? "sound" : "doubtful",
        sum.strongest.dog->name.empty() ? "nobody’s"
                                        : sum.strongest.dog->name + "’s",
        sound ? "" : " (no bite is sound)", sum.strongest.bite->bite.id));
    if (sum.relative_u.size() > 1) {
      w.Text(fmt::format(" Peaks lie between {} and {} N.",
                         FixedText(*sum.lowest_peak_n, 0),
                         FixedText(*sum.highest_peak_n, 0)));
    }
  }
  if (sum.strongest_bound.bite != nullptr) {
    const ReportDog& dog = *sum.strongest_bound.dog;
    w.Text(fmt::format(" Where only a lower bound is known, {} reached {}.",
                       dog.name.empty() ? "a dog" : dog.name,
                       BoundWords(sum.strongest_bound.bite->bite)));
  }
  w.Line();
}

void HowSure(HtmlWriter& w, const ReportSummary& sum) {
  const VerdictCounts& n = sum.counts;
  std::string lead = fmt::format("{} sound, {} doubtful, {} at least, {} void.",
                                 n.sound, n.doubtful, n.at_least, n.no_figure);
  if (n.all() == 0) lead = "There is nothing to be sure of.";
  std::string text;
  if (!sum.relative_u.empty()) {
    text = fmt::format(
        "Each interval is made to hold the true peak in 95 cases of 100. Its "
        "half-width is {} of the peak in the middle bite, from {} to {} over "
        "all.",
        PercentText(sum.relative_u[sum.relative_u.size() / 2]),
        PercentText(sum.relative_u.front()),
        PercentText(sum.relative_u.back()));
  } else if (n.all() > 0) {
    text = "No bite has an interval.";
  }
  Answer(w, "How sure", lead, text);
}

void Instrument(HtmlWriter& w, const ReportModel& model,
                const ReportSummary& sum) {
  std::string lead = "Not shown: the sleeve has no calibration.";
  std::string text =
      "Its figures are what the cells say of themselves, if they say anything.";
  if (model.calibration) {
    const ReportCalibration& cal = *model.calibration;
    lead = cal.expanded_relative_u95
               ? fmt::format("Calibrated to ±{} of the force (95 %).",
                             PercentText(*cal.expanded_relative_u95))
               : "Calibrated, without a stated uncertainty.";
    text = fmt::format(
        "{} from {} to {} N, {}. ",
        CountText(static_cast<std::size_t>(cal.rows), "reading"),
        FixedText(cal.force_low_n, 0), FixedText(cal.force_high_n, 0),
        cal.warnings.empty()
            ? "no warning"
            : CountText(cal.warnings.size(), "warning") + ", see below");
    text += sum.beyond_calibration == 0
                ? "Every peak lies inside that range."
                : fmt::format("{} of {} peaks lie outside that range.",
                              sum.beyond_calibration, sum.counts.with_figure());
  }
  text += fmt::format(" Recordings: {}, {}.",
                      CountText(static_cast<std::size_t>(sum.gaps), "gap"),
                      CountText(sum.broken_lines, "broken line"));
  for (const std::string& checks : model.checks) text += " " + checks + ".";
  if (model.checks.empty()) {
    text +=
        " This report holds no check load: whether the sleeve still reads as "
        "on the bench is for a known weight to say.";
  }
  Answer(w, "Was the instrument fit", lead, text);
}

void Legend(HtmlWriter& w) {
  const Scope list(w, "ul", {{"class", "legend"}});
  const auto item = [&w](Verdict verdict, bool at_least,
                         std::string_view text) {
    const Scope li(w, "li");
    InlineShape(w, verdict, at_least);
    const Scope words(w, "span");
    w.Leaf("b", VerdictName(verdict, at_least),
           {{"class", std::string(VerdictClass(verdict))}});
    w.Text(text);
  };
  item(Verdict::kSound, false, " nothing speaks against the figure");
  item(Verdict::kDoubtful, false, " something does; its interval is wider");
  item(Verdict::kDoubtful, true,
       " part of the force was not seen: a lower bound");
  item(Verdict::kVoid, false, " no honest figure can be given");
}

std::string RigLine(const ReportModel& model) {
  std::string text = fmt::format(
      "{}, revision {}, {} at {} samples a second", model.rig_name,
      model.rig_revision,
      CountText(static_cast<std::size_t>(model.channels), "channel"),
      FixedText(model.nominal_rate_hz, 0));
  if (!model.cover.empty()) text += "; cover " + model.cover;
  if (model.grip_thickness_mm) {
    text += fmt::format("; {} mm thick where it is gripped",
                        FixedText(*model.grip_thickness_mm, 0));
  }
  if (model.safe_load_n) {
    text += fmt::format("; safe load {} N", FixedText(*model.safe_load_n, 0));
  }
  return text + ".";
}

}  // namespace

void WriteFront(HtmlWriter& w, const ReportModel& model) {
  const ReportSummary sum = Summarize(model);
  const Scope header(w, "header");
  w.Leaf("p", "Bite force report", {{"class", "kind"}});
  w.Leaf("h1", model.title);
  w.Leaf("p", RigLine(model), {{"class", "rig"}});
  w.Line();
  {
    const Scope five(w, "dl", {{"class", "five"}});
    Who(w, model, sum);
    HowHard(w, sum);
    HowSure(w, sum);
    Instrument(w, model, sum);
    Answer(w, "What it does not mean", "Force, not pressure.",
           "The figures hold for this gape, this cover and this day. They rank "
           "no breed, and they do not say what a bite would do to a person.");
  }
  Legend(w);
  w.Line();
}

}  // namespace masseter::report
