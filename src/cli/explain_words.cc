#include "cli/explain_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "app/file_io.h"
#include "core/signal/half_sine.h"
#include "report/figure_text.h"
#include "report/significant.h"
#include "report/text_table.h"
#include "report/trace_sketch.h"
#include "report/utf8.h"

namespace masseter::cli {
namespace {

constexpr std::size_t kSketchRows = 12;
constexpr std::size_t kWide = 106;  // room for the inputs in words

const char* Shape(const Bite& b, bool utf8) {
  if (b.verdict == Verdict::kVoid) return utf8 ? "○" : "o";
  if (b.at_least) return utf8 ? "↑" : "^";
  if (b.verdict == Verdict::kDoubtful) return utf8 ? "◐" : "~";
  return utf8 ? "●" : "*";
}

std::string Coloured(const std::string& text, const Bite& b, const Page& page) {
  if (!page.colour) return text;
  const char* code = b.verdict == Verdict::kVoid       ? "31"
                     : b.verdict == Verdict::kDoubtful ? "33"
                                                       : "34";
  return fmt::format("\033[1;{}m{}\033[0m", code, text);
}

std::string Sketch(const BiteExplanation& e, const Page& page) {
  SketchOptions options;
  options.columns = page.columns;
  options.rows = kSketchRows;
  options.utf8 = page.utf8;
  if (const auto& c = e.bite.calibration) {
    options.level_n = c->force_high_n;
    options.level_word =
        "calibrated to " + FixedText(c->force_high_n, 0) + " N";
  } else if (!e.bite.measured.bite.peak_n) {
    options.unit.clear();
  }
  return TraceSketch(PictureOf(e.bite.measured, SketchColumns(options)),
                     options);
}

// "the gap": what a figure would be without.
std::string NounOf(ReasonCode code) {
  switch (code) {
    case ReasonCode::kStuck:
      return "the stuck channel";
    case ReasonCode::kLoose:
      return "the loose channel";
    case ReasonCode::kZero:
      return "the move of zero";
    case ReasonCode::kSlow:
      return "the slow sampling";
    case ReasonCode::kOdd:
      return "the disagreement of the cells";
    case ReasonCode::kPlace:
      return "the unseen place";
    case ReasonCode::kClock:
      return "the uneven clock";
    case ReasonCode::kStale:
      return "what is out of date";
    case ReasonCode::kWithdrawn:
      return "the operator's word";
    default:
      return "the " + std::string(ReasonWord(code));
  }
}

std::string EffectWords(const Reason& r, const Counterfactual& without) {
  std::string out;
  if (r.effect_n && *r.effect_n > 0.0) {
    out = "worth up to " + Significant(*r.effect_n, 2) + " N; ";
  } else if (r.code == ReasonCode::kWithdrawn) {
    out = "a word, not a size; ";
  } else if (!r.effect_n) {
    out = "nobody can say how much it is worth; ";
  }
  if (!without.known) {
    return out + "what would have stood there is not in the data";
  }
  return out + "without " + NounOf(r.code) + ": " + PeakText(without.bite) +
         ", " + std::string(VerdictWord(without.bite.verdict));
}

std::string Evidence(const BiteExplanation& e, const Page& page) {
  const auto& reasons = e.bite.measured.bite.reasons;
  if (reasons.empty()) return "";
  std::string out = Heading("Evidence", page);
  for (std::size_t i = 0; i < reasons.size(); ++i) {
    const Reason& r = reasons[i];
    const std::string span =
        r.end_s - r.start_s < 5e-4
            ? fmt::format("at {:.2f} s", r.start_s)
            : fmt::format("{:.2f} to {:.2f} s", r.start_s, r.end_s);
    const std::string margin(15, ' ');
    out += Wrapped(r.text + " (" + span + ")",
                   fmt::format("  {:<13}", ReasonWord(r.code)), page);
    out += Wrapped(EffectWords(r, e.without[i]), margin, page);
    if (!r.advice.empty()) {
      out += Wrapped((page.utf8 ? "→ " : "> ") + r.advice, margin, page);
    }
  }
  return out;
}

std::string InputText(const BudgetLine& l) {
  const double u = l.standard_uncertainty_n / l.sensitivity;
  // What does not reach the last column is nothing.
  if (l.standard_uncertainty_n < 0.005) {
    return l.sensitivity == 1.0 ? "0 N" : "0 %";
  }
  return l.sensitivity == 1.0 ? Significant(u, 2) + " N" : PercentText(u);
}

std::string DofText(double dof, bool utf8) {
  if (std::isinf(dof)) return utf8 ? "∞" : "inf";
  return FixedText(dof, dof < 10.0 ? 1 : 0);
}

// The names a budget's columns have in 80 columns are short; docs/explain.md
// says them in full.
std::string BudgetTable(const BiteExplanation& e, const Page& page) {
  const bool wide = page.columns >= kWide;
  TextTable table;
  table.AddColumn("  input", Align::kLeft, wide ? 44 : 32);
  table.AddColumn("value", Align::kPoint);
  table.AddColumn("u", Align::kPoint);
  table.AddColumn("law", Align::kLeft);
  table.AddColumn("dof", Align::kRight);
  table.AddColumn("c/N", Align::kRight);
  table.AddColumn("u/N", Align::kPoint);
  if (wide) table.AddColumn("share", Align::kLeft);
  const double variance = std::pow(e.budget->combined.standard_uncertainty, 2);
  for (const BudgetLine& l : e.bite.measured.bite.budget) {
    const double share =
        variance > 0.0 ? std::pow(l.standard_uncertainty_n, 2) / variance : 0.0;
    std::vector<std::string> row = {
        "  " + (wide ? BudgetInputWords(l.term) : l.term),
        l.term == "calibration" ? "1" : "0", InputText(l), l.distribution,
        // The table knows no infinity sign in ASCII.
        DofText(l.degrees_of_freedom, page.utf8), FixedText(l.sensitivity, 0),
        FixedText(l.standard_uncertainty_n, 2)};
    if (wide) {
      row.push_back(fmt::format("{:>3} % {}", FixedText(100.0 * share, 0),
                                ShareBar(share, 10, page.utf8)));
    }
    table.AddRow(row);
  }
  return table.Text(page.utf8);
}

std::string WaysText(const BudgetAnswer& b, int decimals) {
  if (b.ways_agree) return "both ways agree";
  const double wider = b.expanded_n - 0.5 * (b.drawn.high - b.drawn.low);
  return fmt::format("the sum of the lines is {} N {} on either side",
                     FixedText(std::abs(wider), decimals),
                     wider > 0.0 ? "wider" : "narrower");
}

std::string Budget(const BiteExplanation& e, const Page& page) {
  if (!e.budget) return "";
  const BudgetAnswer& b = *e.budget;
  const double u = b.combined.standard_uncertainty;
  std::string out =
      Heading("Uncertainty budget of the peak", page) + BudgetTable(e, page);
  const int decimals = std::max(0, UncertaintyDecimals(u));
  out += Wrapped(
      fmt::format("together u = {} N with {} effective degrees of freedom "
                  "(Welch–Satterthwaite); 95 %: ± {} N (k = {:.2f})",
                  FixedText(u, decimals), DofText(b.combined.dof, page.utf8),
                  FixedText(b.expanded_n, decimals), b.coverage_factor),
      "  ", page);
  out += Wrapped(
      fmt::format("by {} draws (JCGM 101): {} to {} N, {} {} N; {}",
                  GroupedText(b.drawn.draws),
                  Typographic(FixedText(b.drawn.low, decimals)),
                  FixedText(b.drawn.high, decimals),
                  b.drawn.settled ? "settled within" : "not settled within",
                  Significant(b.drawn.tolerance, 1), WaysText(b, decimals)),
      "  ", page);
  out += Wrapped(
      b.by_monte_carlo
          ? "a loss can only have lowered the figure: the interval is from the "
            "draws, its lower end without credit for the loss"
          : "the interval is from the sum of the lines",
      "  ", page);
  if (page.columns < kWide) return out;
  std::string steps;
  for (const PropagationStep& s : b.drawn.steps) {
    steps += (steps.empty() ? "" : ", ") +
             fmt::format("{} draws ± {} N", GroupedText(s.draws),
                         Significant(s.scatter, 2));
  }
  return out + Wrapped("how the ends settled: " + steps, "  ", page);
}

std::string Frequencies(const BiteExplanation& e, const Page& page) {
  if (!e.frequencies) return "";
  const FrequencyContent& f = *e.frequencies;
  double most = 0.0;
  for (const Band& b : f.bands) most = std::max(most, b.rms_n);
  std::string out = Heading("Frequencies, root mean square an octave", page);
  for (const Band& b : f.bands) {
    out += TerminalText(fmt::format("  {:>4.0f}–{:<4.0f} Hz {:>7} N  {}",
                                    b.from_hz, b.to_hz, FixedText(b.rms_n, 1),
                                    ShareBar(most > 0.0 ? b.rms_n / most : 0.0,
                                             page.columns - 34, page.utf8)),
                        page.utf8);
    out.erase(out.find_last_not_of(' ') + 1);
    out += "\n";
  }
  const auto& shake = e.bite.measured.bite.shake_hz;
  out += Wrapped(
      fmt::format("99 % of the power lies below {:.0f} Hz; {}", f.most_below_hz,
                  shake ? fmt::format("the dog shakes at {:.1f} Hz", *shake)
                        : "no shaking stands out"),
      "  ", page);
  return out;
}

std::string LossText(double loss) {
  if (loss < 1e-4) return "0.01 %";
  return PercentText(std::min(1.0, loss));
}

std::string Sampling(const BiteExplanation& e, const Page& page) {
  if (!e.sampling) return "";
  const SamplingNeed& s = *e.sampling;
  std::string text = fmt::format(
      "The crest is as sharp as a half-sine of {}: at {:.0f} samples a second "
      "at most {} of the peak falls between samples; 1 % needs {:.0f} a "
      "second",
      SecondsText(s.crest_s), s.rate_hz, LossText(s.worst_loss),
      std::ceil(s.needed_rate_hz));
  const double sharpest = e.bite.sharpest_crest_s;
  if (sharpest > 0.0 && sharpest < 0.98 * s.crest_s) {
    text += fmt::format(", and {:.0f} for the recording's sharpest crest ({})",
                        std::ceil(RateForWorstLoss(sharpest, kAllowedLoss)),
                        SecondsText(sharpest));
  }
  return Heading("Sampling", page) + Wrapped(text + ".", "  ", page);
}

std::string RestsOn(const BiteExplanation& e, const Page& page) {
  const ReplayedBite& b = e.bite;
  const std::string calibration =
      b.calibration_id == 0
          ? std::string("no calibration")
          : fmt::format("calibration {}{}", b.calibration_id,
                        b.calibrated_unix_s > 0.0
                            ? " of " + LocalTime(b.calibrated_unix_s)
                            : "");
  return Heading("Rests on", page) +
         Wrapped(fmt::format("recording {} ({}), {}, rig \"{}\" revision {}, "
                             "method {}",
                             b.capture.id, b.capture.source, calibration, b.rig,
                             b.rig_revision, b.method),
                 "  ", page);
}

}  // namespace

std::string Wrapped(const std::string& text, const std::string& first,
                    const Page& page) {
  const std::string whole = TerminalText(text, page.utf8);
  const std::string margin(report::ColumnsOf(first), ' ');
  std::string out;
  std::string line = first;
  bool empty = true;
  std::size_t at = 0;
  while (at < whole.size()) {
    const std::size_t end = std::min(whole.find(' ', at), whole.size());
    const std::string word = whole.substr(at, end - at);
    at = end + 1;
    if (word.empty()) continue;
    const std::size_t room = report::ColumnsOf(word) + (empty ? 0 : 1);
    if (!empty && report::ColumnsOf(line) + room > page.columns) {
      out += line + "\n";
      line = margin;
      empty = true;
    }
    line += (empty ? "" : " ") + word;
    empty = false;
  }
  return out + line + "\n";
}

std::string Heading(const std::string& text, const Page& page) {
  const std::string plain = TerminalText(text, page.utf8);
  return "\n" + (page.colour ? "\033[1m" + plain + "\033[0m" : plain) + "\n";
}

std::string BiteHeadline(const Bite& b, const Page& page) {
  const std::string kgf = page.columns < 80 ? "" : PeakKgfText(b);
  std::string text =
      fmt::format("{} Bite {}, {}, {}: {}{}, ", Shape(b, page.utf8), b.id,
                  b.dog.empty() ? "(nobody)" : b.dog, ClockText(b.start_s),
                  PeakText(b), kgf.empty() ? "" : ", " + kgf);
  // The shapes are the page's own; the rest is made fit for the terminal.
  const std::string shape = Shape(b, page.utf8);
  text = shape + TerminalText(text.substr(shape.size()), page.utf8);
  return text +
         Coloured(std::string(VerdictWord(b.verdict)) +
                      (b.at_least ? ", at least" : ""),
                  b, page) +
         "\n";
}

std::string ShareBar(double share, std::size_t cells, bool utf8) {
  static const char* kEighths[] = {"", "▏", "▎", "▍", "▌", "▋", "▊", "▉"};
  const double part = std::clamp(share, 0.0, 1.0) * static_cast<double>(cells);
  std::string out;
  const auto full = static_cast<std::size_t>(part);
  for (std::size_t k = 0; k < full; ++k) out += utf8 ? "█" : "#";
  if (!utf8) return out;
  const auto eighth =
      static_cast<std::size_t>((part - static_cast<double>(full)) * 8.0);
  return out + kEighths[eighth];
}

std::string ExplanationWords(const BiteExplanation& e, const Page& page) {
  const Bite& b = e.bite.measured.bite;
  return BiteHeadline(b, page) + Wrapped(e.verdict, "", page) + "\n" +
         Sketch(e, page) + Evidence(e, page) + Budget(e, page) +
         Frequencies(e, page) + Sampling(e, page) + RestsOn(e, page);
}

}  // namespace masseter::cli
