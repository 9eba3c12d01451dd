#include <fmt/format.h>

#include "app/claim_answer.h"
#include "app/file_io.h"
#include "cli/command.h"
#include "report/significant.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  ClaimQuestion question;
  std::string out;
};

std::string ByArea(const ClaimAnswer& answer) {
  TextTable table;
  table.AddColumn("on an area of", Align::kLeft);
  table.AddColumn("force, N", Align::kPoint);
  for (const PicturedArea& a : PicturedAreas()) {
    const RangeOf<Force> f = ClaimedForce(*answer.pressure, {a.area, a.area});
    table.AddRow({std::string(a.what), f.single()
                                           ? Significant(f.low.si())
                                           : Significant(f.low.si()) + " to " +
                                                 Significant(f.high.si())});
  }
  return table.Text(TerminalIsUtf8());
}

Expected<void> Run(const Options& o, bool json) {
  const auto answer = AnswerClaim(o.question);
  if (!answer) return tl::unexpected(answer.error());
  if (!o.out.empty()) {
    if (auto ok = WriteText(o.out, ClaimSvg(*answer)); !ok) return ok;
  }
  if (json) return PrintJson(ClaimJson(*answer));
  std::string text;
  for (std::size_t i = 0; i < answer->words.size(); ++i) {
    text += TerminalText(answer->words[i], TerminalIsUtf8()) + "\n";
    if (i == 0 && answer->pressure && !answer->force) text += ByArea(*answer);
  }
  if (!o.out.empty()) text += "Wrote " + o.out + ".\n";
  return Print(text);
}

}  // namespace

void AddClaim(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "claim", "What a quoted pressure would mean in force");
  command.Add("BOOK", o->question.book,
              "Compare with this logbook's sound bites");
  command
      .Add("--pressure", o->question.pressure,
           "The claim: psi, kPa, MPa, bar or kgf/cm2; \"400-450 psi\" is a "
           "range")
      .NotEmpty();
  command
      .Add("--area", o->question.area,
           "The area it is to act on: mm2, cm2 or in2; a range is legal")
      .NotEmpty();
  command
      .Add("--force", o->question.force,
           "Convert a force instead: N, kgf or lbf")
      .NotEmpty();
  command
      .Add("--measured", o->question.measured,
           "Compare with this force, such as \"743 N\"")
      .NotEmpty();
  command.Add("-o,--out", o->out, "Draw one force on two feet (SVG)")
      .NotEmpty();
  Bind<Options>(command, call, o,
                "masseter claim --pressure \"450 psi\" --area \"1-3 cm2\"",
                Run);
}

}  // namespace masseter::cli
