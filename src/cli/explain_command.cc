#include "app/explain_json.h"
#include "cli/command.h"
#include "cli/explain_words.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::int64_t first = 0;
  std::optional<std::int64_t> second;
};

Page ThisTerminal() {
  return {TerminalColumns(), TerminalIsUtf8(), TerminalIsColoured()};
}

Expected<void> Run(const Options& o, bool json) {
  if (o.second) {
    const auto pair = ExplainPair(o.book, o.first, *o.second);
    if (!pair) return tl::unexpected(pair.error());
    return json ? PrintJson(PairJson(*pair))
                : Print(PairWords(*pair, ThisTerminal()));
  }
  const auto bite = ExplainBite(o.book, o.first);
  if (!bite) return tl::unexpected(bite.error());
  return json ? PrintJson(ExplanationJson(*bite))
              : Print(ExplanationWords(*bite, ThisTerminal()));
}

}  // namespace

void AddExplain(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "explain",
                  "Why a bite is believed or not, or why two bites differ");
  command.Add("BOOK", o->book, "The logbook").Required();
  command.Add("BITE", o->first, "A bite's number").Required();
  command.Add("OTHER", o->second, "Another bite to compare it with");
  Bind<Options>(command, call, o,
                "masseter explain day.book 3\n  masseter explain day.book 3 7",
                Run);
}

}  // namespace masseter::cli
