#include <fmt/format.h>

#include "app/report_book.h"
#include "cli/command.h"
#include "report/figure_text.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::string out;
};

Expected<void> Run(const Options& o, bool json) {
  if (json && o.out == "-") {
    return BadInput("--json", "and -o - both want standard output");
  }
  const auto answer = ReportBook(o.book, o.out);
  if (!answer) return tl::unexpected(answer.error());
  if (json) {
    return PrintJson({{"report", o.out},
                      {"bites", answer->bites},
                      {"dogs", answer->dogs},
                      {"bytes", answer->bytes}});
  }
  if (o.out == "-") return Print(answer->html);
  return Print(fmt::format(
      "Wrote {}: {}, {}. Open it in a browser or print "
      "it; it needs nothing else.\n",
      o.out, CountText(answer->bites, "bite"), CountText(answer->dogs, "dog")));
}

}  // namespace

void AddReport(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "report",
                  "Write the report: one page that needs nothing else");
  command.Add("BOOK", o->book, "The logbook").Required();
  command
      .Add("-o,--out", o->out,
           "The file to write (HTML), - for standard output")
      .Required();
  Bind<Options>(command, call, o, "masseter report day.book -o day.html", Run);
}

}  // namespace masseter::cli
