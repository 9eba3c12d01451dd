#include <fmt/format.h>

#include <cmath>

#include "app/agree_answer.h"
#include "app/file_io.h"
#include "cli/command.h"
#include "cli/terminal_lines.h"
#include "report/significant.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  AgreeQuestion question;
  std::string response = "linear";
  std::string out;
};

std::string Share(double v) { return std::isfinite(v) ? FixedText(v, 3) : "?"; }

std::string Span(double lo, double hi) {
  return Share(lo) + " to " + Share(hi);
}

std::string OneWayText(const AgreeAnswer& a) {
  std::string text = fmt::format(
      "{} of {} bites of {} {}s; one bite of a {} scatters by {}{}.\n",
      a.figures.of, a.one_way.values, a.one_way.groups, a.question.subject,
      a.question.subject,
      a.question.log ? Significant(100.0 * std::expm1(a.one_way.residual_sd), 3)
                     : Significant(a.one_way.residual_sd, 3),
      a.question.log ? " %" : "");
  text += fmt::format("Reliability of one bite, ICC(1): {} (95 % {}).\n",
                      Share(a.icc_one.value), Span(a.icc_one.lo, a.icc_one.hi));
  if (a.bites_for_0_9) {
    text += fmt::format(
        "The mean of {} {} of each {} reaches 0.9 (Spearman and Brown).\n",
        *a.bites_for_0_9, *a.bites_for_0_9 == 1 ? "bite" : "bites",
        a.question.subject);
  } else {
    text += "No number of bites is known to reach 0.9.\n";
  }
  return text;
}

std::string ReliabilityText(const AgreeAnswer& a) {
  const Reliability& r = *a.reliability;
  TextTable table;
  table.AddColumn("form", Align::kLeft);
  table.AddColumn("of", Align::kLeft);
  table.AddColumn("ICC", Align::kPoint);
  table.AddColumn("95 % interval", Align::kLeft);
  for (const Icc& i : r.icc) {
    table.AddRow({std::string(i.form), std::string(i.means), Share(i.value),
                  Span(i.lo, i.hi)});
  }
  const std::string unit = a.question.log ? " (ln)" : "";
  return fmt::format(
      "\nAgreement over {} levels of \"{}\", {} {}s with all of them{}\n{}"
      "Cronbach's alpha {} (95 % {}).\n"
      "Between two single values, the smallest real difference is {}{}.\n",
      a.levels[0].size(), a.question.by[0], a.complete, a.question.subject,
      a.of_means ? ", means of their values" : "", table.Text(TerminalIsUtf8()),
      Share(r.alpha.value), Span(r.alpha.lo, r.alpha.hi),
      Significant(r.srd_agreement, 3), unit);
}

std::string BlandAltmanText(const AgreeAnswer& a) {
  const BlandAltman& b = *a.bland_altman;
  const bool log = a.question.log;
  const auto number = [log](double v) {
    if (!log) return Significant(v, 3);
    return Significant(100.0 * std::expm1(v), 3) + " %";
  };
  std::string text = fmt::format(
      "\n\"{}\" {} \"{}\": {} on average (95 % {} to {}).\n"
      "95 % of differences between single values lie in {} to {} (the limits "
      "themselves in {} to {} and {} to {}).\n",
      a.levels[0][0], log ? "over" : "minus", a.levels[0][1], number(b.mean),
      number(b.mean_lo), number(b.mean_hi), number(b.limit_lo),
      number(b.limit_hi), number(b.limit_lo_from), number(b.limit_lo_to),
      number(b.limit_hi_from), number(b.limit_hi_to));
  if (b.slope_p < 0.05 && !log) {
    text +=
        "The difference grows with the force: compare logarithms (--response "
        "log).\n";
  }
  return text;
}

std::string GaugeText(const AgreeAnswer& a) {
  const GaugeStudy& g = *a.gauge;
  TextTable table;
  table.AddColumn("spread", Align::kLeft);
  table.AddColumn("sd", Align::kPoint);
  table.AddColumn("95 % interval", Align::kLeft);
  table.AddColumn("% of total", Align::kPoint);
  const auto row = [&](const std::string& what, const GaugePart& p) {
    table.AddRow({what, Significant(p.sd, 3),
                  Significant(p.sd_lo, 3) + " to " + Significant(p.sd_hi, 3),
                  FixedText(p.percent_of_total, 1)});
  };
  row("same conditions again", g.repeatability);
  for (std::size_t k = 0; k < g.conditions.size(); ++k) {
    row(a.question.by[k], g.conditions[k]);
  }
  row("interactions", g.interaction);
  row("measuring, all of the above", g.gauge);
  row(a.question.subject, g.dogs);
  row("total", g.total);
  return fmt::format(
      "\nRepeatability and reproducibility\n{}Distinct categories: {}{}.\n",
      table.Text(TerminalIsUtf8()), g.categories,
      g.anova.pooled.empty()
          ? ""
          : "; interactions that cannot be told from scatter joined it");
}

std::string Answer(const AgreeAnswer& a) {
  std::string text = OneWayText(a);
  if (a.reliability) text += ReliabilityText(a);
  if (a.bland_altman) text += BlandAltmanText(a);
  if (a.gauge) text += GaugeText(a);
  std::string notes;
  for (const std::string& note : a.notes) notes += "Note: " + note + ".\n";
  if (a.at_least > 0) {
    notes += fmt::format(
        "Note: {} known only from below left out; `compare` counts them for "
        "what they are.\n",
        CountText(a.at_least, "bite"));
  }
  if (a.incomplete > 0) {
    notes += fmt::format("Note: {} without every level left out.\n",
                         CountText(a.incomplete, a.question.subject));
  }
  const std::string left = LeftOutWords(a.figures);
  if (!left.empty()) notes += left + "\n";
  return text + (notes.empty() ? "" : "\n" + notes);
}

Expected<void> Run(const Options& o, bool json) {
  AgreeQuestion question = o.question;
  question.log = o.response == "log";
  const auto answer = AnswerAgree(question);
  if (!answer) return tl::unexpected(answer.error());
  if (!o.out.empty()) {
    const auto svg = AgreeSvg(*answer);
    if (!svg) return tl::unexpected(svg.error());
    if (auto ok = WriteText(o.out, *svg); !ok) return ok;
  }
  if (json) return PrintJson(AgreeJson(*answer));
  return Print(TerminalLines(Answer(*answer)) +
               (o.out.empty() ? "" : "Wrote " + o.out + ".\n"));
}

}  // namespace

void AddAgree(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "agree",
                  "How far repeated measurements of the same dogs agree");
  command.Add("BOOK", o->question.books,
              "A logbook; two compare their sleeves");
  command.Add("--table", o->question.table,
              "A table with a header instead, one row a bite");
  command.Add("--of", o->question.of,
              "The figure's column (peak_n, squeeze_n, ...)");
  command.Add("--subject", o->question.subject,
              "The column of what is measured (dog)");
  command
      .Add("--by", o->question.by,
           "What else changed: helper, sleeve, placing; one or two "
           "columns")
      .SplitAt(',');
  command
      .Add("--response", o->response, "linear, or log: differences are ratios")
      .OneOf({"linear", "log"});
  command
      .Add("--pool", o->question.pool_above,
           "Interactions with p above this join the scatter (0.25)")
      .Between(0.0, 1.0);
  command.Add("-o,--out", o->out, "Draw the differences of two levels (SVG)");
  Bind<Options>(command, call, o,
                "masseter agree --table bites.csv --by helper", Run);
}

}  // namespace masseter::cli
