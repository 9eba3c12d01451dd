#include <fmt/format.h>

#include <cstdio>

#include "app/bite_list.h"
#include "app/demo_day.h"
#include "app/simulate.h"
#include "cli/bite_line.h"
#include "cli/bites_table.h"
#include "cli/command.h"
#include "cli/page_address.h"
#include "cli/stop_signal.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  std::optional<std::string> book;
  PageOptions page;
  double speed = 1.0;
  std::uint64_t seed = kSimSeed;
  bool once = false;
};

void Say(const std::string& line, bool json) {
  std::FILE* to = json ? stderr : stdout;
  std::fputs((line + "\n").c_str(), to);
  std::fflush(to);
}

void Introduce(const DemoFacts& facts, const ServedPage& page, bool json) {
  Say(fmt::format(
          "A simulated sleeve on an invented day at the {}: {} dogs, {} "
          "bites,\n{} of recording. No dog, club or figure here is real.",
          facts.club, facts.dogs, facts.bites, ClockText(facts.length_s)),
      json);
  Say(fmt::format("Calibrated from {} simulated bench readings, {:.0f} to "
                  "{:.0f} N: {} of the force (95 %).",
                  facts.calibration.rows, facts.calibration.force_low_n,
                  facts.calibration.force_high_n,
                  PercentText(facts.calibration.expanded_relative_u95)),
      json);
  Say("Live page: " + page.Address() + "  (Ctrl-C ends)", json);
  const std::string share = ShareWords(page, json ? stderr : stdout);
  if (!share.empty()) Say(share, json);
}

Expected<void> Close(const std::string& book, const RecordAnswer& answer,
                     const ServedPage& page, bool json) {
  const auto bites = ListBites(book);
  if (!bites) return tl::unexpected(bites.error());
  if (json) {
    return PrintJson({{"logbook", book},
                      {"samples", answer.samples},
                      {"bites", bites->size()},
                      {"page", page.server->url()}});
  }
  return Print(fmt::format(
      "\n{}\nThe logbook: {}\nNext: masseter report {} -o day.html\n"
      "      masseter bites {} --json\n"
      "      masseter sim --files example   (the files behind such a day)\n",
      bites->empty() ? "No bites.\n" : BitesTable(*bites), book, book, book));
}

Expected<std::string> BookPath(const Options& o) {
  if (o.book) return *o.book;
  auto folder = MakeDemoFolder();
  if (!folder) return folder;
  return *folder + "/demo.book";
}

Expected<void> Run(const Options& o, bool json) {
  if (!(o.speed >= 0.1 && o.speed <= 100.0)) {
    return BadInput("--speed", "must lie between 0.1 and 100");
  }
  const bool utf8 = TerminalIsUtf8();
  LiveHub hub;
  const auto page = ServePage(o.page, hub);
  if (!page) return tl::unexpected(page.error());
  const auto book = BookPath(o);
  if (!book) return tl::unexpected(book.error());
  const auto facts = MakeDemoBook(*book, o.seed);
  if (!facts) return tl::unexpected(facts.error());
  Introduce(*facts, *page, json);
  const std::atomic<bool>& stop = WatchStopSignals();
  DemoRequest request;
  request.book_path = *book;
  request.seed = o.seed;
  request.speed = o.speed;
  request.say = [&](const std::string& text) {
    Say(TerminalText(text, utf8), json);
  };
  request.on_bite = [&](const Bite& bite) { Say(BiteLine(bite, utf8), json); };
  request.stop = &stop;
  const auto answer = RecordDemoDay(request, hub);
  if (!answer) return tl::unexpected(answer.error());
  if (answer->lost) return tl::unexpected(*answer->lost);
  if (auto ok = Close(*book, *answer, *page, json); !ok) return ok;
  if (o.once || stop) return {};
  Say("The day is over; the page stays until Ctrl-C: " + page->server->url(),
      json);
  WaitForStopSignal();
  return {};
}

}  // namespace

void AddDemo(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "demo",
                  "A simulated field day, recorded and shown on the live page");
  AddPageOptions(command, o->page, "Where the page is served (127.0.0.1:8600)");
  command.Add("--speed", o->speed, "Times real time (1)");
  command.Add("--seed", o->seed, "Which sleeve and which day (20)");
  command.Add("--book", o->book,
              "Where the logbook is made (a new temporary folder)");
  command.AddFlag("--once", o->once, "End when the day is over");
  Bind<Options>(command, call, o, "masseter demo", Run);
}

}  // namespace masseter::cli
