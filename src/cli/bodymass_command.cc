#include <fmt/format.h>

#include "app/file_io.h"
#include "app/mass_answer.h"
#include "cli/command.h"
#include "core/study/published_ranges.h"
#include "report/significant.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  MassQuestion question;
  std::string out;
};

std::string DogsText(const MassAnswer& a) {
  TextTable table;
  table.AddColumn("dog", Align::kLeft, 24);
  table.AddColumn("kg", Align::kPoint);
  table.AddColumn("bites", Align::kRight);
  table.AddColumn("force, N", Align::kPoint);
  table.AddColumn("of what is usual for its mass", Align::kPoint);
  table.AddColumn(
      fmt::format("at {} kg, N", Significant(a.question.reference_kg, 3)),
      Align::kPoint);
  table.AddColumn("", Align::kLeft);
  for (const MassDog& d : a.dogs) {
    table.AddRow({d.name, FixedText(d.point.mass, 1), std::to_string(d.bites),
                  Significant(d.point.force, 3),
                  FixedText(100.0 * d.adjusted.ratio, 0) + " %",
                  Significant(d.adjusted.force_at_reference, 3),
                  d.adjusted.unusual ? "unusual" : ""});
  }
  return table.Text(TerminalIsUtf8());
}

std::string LineText(const char* what, const AllometricLine& l) {
  return fmt::format(
      "{}: force grows as mass to the power {} (95 % {} to {}).\n", what,
      FixedText(l.slope, 2), FixedText(l.slope_lo, 2),
      FixedText(l.slope_hi, 2));
}

std::string PublishedText() {
  TextTable table;
  table.AddColumn("", Align::kRight);
  table.AddColumn("published", Align::kLeft);
  table.AddColumn("N", Align::kLeft);
  table.AddColumn("source", Align::kLeft);
  int number = 0;
  for (const PublishedRange& r : PublishedRanges()) {
    table.AddRow({std::to_string(++number), std::string(r.what),
                  FixedText(r.low_n, 0) + " to " + FixedText(r.high_n, 0),
                  std::string(r.source)});
  }
  return table.Text(TerminalIsUtf8());
}

Expected<void> Run(const Options& o, bool json) {
  const auto answer = AnswerMass(o.question);
  if (!answer) return tl::unexpected(answer.error());
  if (!o.out.empty()) {
    if (auto ok = WriteText(o.out, MassSvg(*answer)); !ok) return ok;
  }
  if (json) return PrintJson(MassJson(*answer));
  std::string text = DogsText(*answer) + "\n";
  text += LineText("Least squares", answer->fit.least_squares);
  text += LineText("Standardised major axis", answer->fit.major_axis);
  for (const std::string& note : answer->notes) text += note + "\n";
  if (answer->at_least > 0) {
    text += fmt::format("{} known only from below left out.\n",
                        CountText(answer->at_least, "bite"));
  }
  const std::string left = LeftOutWords(answer->figures);
  if (!left.empty()) text += left + "\n";
  text += "\n" + PublishedText();
  if (!o.out.empty()) text += "Wrote " + o.out + ".\n";
  return Print(text);
}

}  // namespace

void AddBodymass(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "bodymass",
                  "Force against body mass, and dogs beside their size");
  command.Add("BOOK", o->question.book, "The logbook");
  command.Add("--table", o->question.table,
              "A table instead: dog, mass_kg, force_n");
  command.Add("--of", o->question.of, "The figure's column");
  command.Add("--mass", o->question.mass, "The mass column (mass_kg)");
  command.Add("--at", o->question.reference_kg,
              "Compare dogs as if they had this mass, kg (30)");
  command.Add("-o,--out", o->out, "Draw it (SVG)");
  Bind<Options>(command, call, o, "masseter bodymass day.book -o mass.svg",
                Run);
}

}  // namespace masseter::cli
