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

// `wide`: the value is long and takes two cells.
void Measure(HtmlWriter& w, std::string_view name, const std::string& value,
             bool wide = false) {
  const Scope pair(w, "div", {{"class", wide ? "two" : "one"}});
  w.Leaf("dt", name);
  w.Leaf("dd", Typographic(value));
}

// A measure without an interval of its own, rounded as if it were as sure, in
// relation to its size, as the peak: it must not claim more.
std::string Rounded(const Bite& bite, std::optional<double> value,
                    std::string_view unit) {
  if (!value || bite.verdict == Verdict::kVoid) return "–";
  std::optional<double> u;
  if (bite.peak_n && bite.peak_u95_n && *bite.peak_n > 0.0) {
    u = std::abs(*value) * *bite.peak_u95_n / *bite.peak_n;
  }
  return fmt::format("{} {}", SplitFigure(*value, u).value, unit);
}

// Where along and across the sleeve the force stood.
std::string Place(const Bite& bite) {
  if (!bite.x_mm) return "not seen";
  std::string text =
      std::abs(*bite.x_mm) < 0.5
          ? "middle"
          : fmt::format("{} mm to the {}", FixedText(std::abs(*bite.x_mm), 0),
                        *bite.x_mm > 0.0 ? "elbow" : "hand");
  if (bite.y_mm && std::abs(*bite.y_mm) >= 0.5) {
    text += fmt::format(", {} mm across", FixedText(*bite.y_mm, 0));
  }
  return text;
}

}  // namespace

void WritePeakShort(HtmlWriter& w, const Bite& bite) {
  InlineShape(w, bite.verdict, bite.at_least);
  w.Leaf("span", PeakText(bite), {{"class", "figure"}});
}

void WritePeak(HtmlWriter& w, const Bite& bite) {
  const Scope peak(w, "p", {{"class", "peak"}});
  WritePeakShort(w, bite);
  w.Leaf("b", VerdictName(bite.verdict, bite.at_least),
         {{"class", std::string(VerdictClass(bite.verdict))}});
  const std::string kgf = PeakKgfText(bite);
  if (!kgf.empty()) w.Leaf("small", kgf);
}

void WriteMeasures(HtmlWriter& w, const Bite& bite) {
  const bool none = bite.verdict == Verdict::kVoid;
  const Scope list(w, "dl", {{"class", "measures"}});
  Measure(w, "Peak", PeakText(bite), bite.peak_lo_n && !none);
  Measure(w, "Strike", Rounded(bite, bite.strike_n, "N"));
  Measure(w, "Squeeze",
          bite.squeeze_n && !none
              ? FigureText(*bite.squeeze_n, bite.squeeze_u95_n, "N")
              : "–");
  Measure(w, "Held", Rounded(bite, bite.held_n, "N"));
  Measure(w, "Lasted", SecondsText(bite.duration_s));
  Measure(w, "Rise", bite.rise_s && !none ? SecondsText(*bite.rise_s) : "–");
  Measure(w, "Impulse", Rounded(bite, bite.impulse_ns, "N s"));
  Measure(w, "Re-grips", fmt::format("{}", bite.regrips));
  Measure(w, "Shake",
          bite.shake_hz ? FixedText(*bite.shake_hz, 1) + " Hz" : "none");
  if (bite.held_cv && !none) {
    Measure(w, "Steady within", PercentText(*bite.held_cv));
  }
  if (bite.out_s) Measure(w, "Let go after “out”", SecondsText(*bite.out_s));
  Measure(w, "Gripped", Place(bite), true);
}

void WriteReasons(HtmlWriter& w, const Bite& bite) {
  if (bite.reasons.empty()) return;
  const Scope list(w, "ul", {{"class", "reasons"}});
  for (const Reason& reason : bite.reasons) {
    const Scope item(w, "li");
    w.Leaf("b", ReasonWord(reason.code));
    w.Text(" " + reason.text);
    if (reason.effect_n && std::isfinite(*reason.effect_n)) {
      w.Text(
          *reason.effect_n == 0.0
              ? "; the peak is not touched"
              : fmt::format("; could change the peak by {} N",
                            FixedText(*reason.effect_n,
                                      std::max(0, UncertaintyDecimals(std::abs(
                                                      *reason.effect_n))))));
    }
    w.Text(".");
  }
}

void WriteBudget(HtmlWriter& w, const Bite& bite) {
  if (bite.budget.empty() || bite.verdict == Verdict::kVoid) return;
  std::vector<const BudgetLine*> lines;
  for (const BudgetLine& line : bite.budget) {
    if (line.standard_uncertainty_n > 0.0) lines.push_back(&line);
  }
  std::ranges::stable_sort(lines, [](const auto* a, const auto* b) {
    return a->standard_uncertainty_n > b->standard_uncertainty_n;
  });
  constexpr std::size_t kShown = 4;
  std::string text = "What makes the interval, as standard uncertainties: ";
  double rest = 0.0;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const double u = lines[i]->standard_uncertainty_n;
    if (i >= kShown) {
      rest += u * u;
      continue;
    }
    text += fmt::format("{}{} {} N", i == 0 ? "" : ", ", lines[i]->term,
                        FixedText(u, UncertaintyDecimals(u)));
  }
  if (rest > 0.0) {
    const double u = std::sqrt(rest);
    text += fmt::format(", the rest together {} N",
                        FixedText(u, UncertaintyDecimals(u)));
  }
  if (!lines.empty()) w.Leaf("p", text + ".", {{"class", "budget"}});
}

}  // namespace masseter::report
