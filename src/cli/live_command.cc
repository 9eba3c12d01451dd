#include <fmt/format.h>

#include <cstdio>

#include "app/companions.h"
#include "app/record.h"
#include "cli/bite_line.h"
#include "cli/command.h"
#include "cli/page_address.h"
#include "cli/stop_signal.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::vector<std::string> from;
  PageOptions page;
  bool no_page = false;
  std::optional<std::string> roster;
  std::optional<std::string> marks;
  std::optional<std::string> dog;
  std::optional<double> reconnect_s;
  double hold_mb = 256.0;
  std::optional<std::string> copy_to;
  double copy_every_s = 60.0;
};

// Lines as they come: to standard error when standard output is for JSON.
void Say(const std::string& line, bool json) {
  std::FILE* to = json ? stderr : stdout;
  std::fputs((line + "\n").c_str(), to);
  std::fflush(to);
}

Expected<void> Close(const RecordAnswer& answer,
                     const std::optional<ServedPage>& page, const Options& o,
                     bool json) {
  Expected<void> printed;
  if (json) {
    nlohmann::ordered_json lost = nullptr;
    if (answer.lost) lost = answer.lost->Text();
    nlohmann::ordered_json no_copy = nullptr;
    if (answer.no_copy) no_copy = answer.no_copy->Text();
    nlohmann::ordered_json url = nullptr;
    if (page) url = page->server->url();
    printed = PrintJson({{"captures", answer.captures},
                         {"samples", answer.samples},
                         {"bites", answer.bites},
                         {"lost", lost},
                         {"no_copy", no_copy},
                         {"page", url}});
  } else if (!answer.captures.empty()) {
    printed = Print(
        fmt::format("Kept {} samples, {}.\nNext: masseter bites {}\n",
                    answer.samples, CountText(answer.bites, "bite"), o.book));
    if (answer.no_copy) {
      Say("The last copy failed: " + answer.no_copy->Text(), true);
    }
  }
  if (!answer.lost) return printed;
  Error lost = *answer.lost;
  // Once something was recorded, no input of the call is to blame.
  if (!answer.captures.empty()) lost.kind = ErrorKind::kMachine;
  return tl::unexpected(std::move(lost));
}

Expected<void> Run(const Options& o, bool json) {
  if (o.no_page && o.page.given()) {
    return BadInput(o.page.share ? "--share" : "--listen",
                    "speaks of the page; --no-page says there is none");
  }
  auto companions = ReadCompanions(o.roster, o.marks, o.dog);
  if (!companions) return tl::unexpected(companions.error());
  const bool utf8 = TerminalIsUtf8();
  LiveHub hub;
  std::optional<ServedPage> page;
  if (!o.no_page) {
    auto served = ServePage(o.page, hub);
    if (!served) return tl::unexpected(served.error());
    page = std::move(*served);
  }
  RecordRequest request;
  request.book_path = o.book;
  request.sources = o.from;
  request.roster = std::move(companions->roster);
  request.marks = std::move(companions->marks);
  request.reconnect_s = o.reconnect_s;
  request.copy_to = o.copy_to;
  request.copy_every_s = o.copy_every_s;
  request.most_waiting_bytes = static_cast<std::size_t>(o.hold_mb * 1e6);
  request.stop = &WatchStopSignals();
  request.on_ready = [&] {
    if (!page) return;
    Say("Live page: " + page->Address(), json);
    const std::string share = ShareWords(*page, json ? stderr : stdout);
    if (!share.empty()) Say(share, json);
  };
  request.say = [&](const std::string& text) {
    Say(TerminalText(text, utf8), json);
  };
  request.on_bite = [&](const Bite& bite) { Say(BiteLine(bite, utf8), json); };
  const auto answer = Record(request, hub);
  if (!answer) return tl::unexpected(answer.error());
  return Close(*answer, page, o, json);
}

}  // namespace

void AddLive(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(
      app, "live",
      "Record from a sleeve, measure as it goes, serve the live page");
  command.Add("BOOK", o->book, "The logbook").Required();
  command
      .Add("--from", o->from,
           "serial:/dev/ttyUSB0@921600, tcp:HOST:PORT, udp:PORT, "
           "mqtt:HOST/TOPIC, file:PATH or - (standard input); again "
           "for each sleeve")
      .Required()
      .Again();
  AddPageOptions(command, o->page, "Where the page is served (127.0.0.1:8600)");
  command.AddFlag("--no-page", o->no_page, "Serve no page");
  command.Add("--roster", o->roster, "dog,breed,mass_kg (CSV)");
  command.Add("--marks", o->marks,
              "t_s,dog (CSV): from this moment this dog is up");
  command
      .Add("--reconnect", o->reconnect_s,
           "Seconds to look for a source that was lost (0: end at once)")
      .Between(0.0, 1e9);
  command
      .Add("--hold", o->hold_mb,
           "Megabytes that may wait in memory while the disk is full "
           "(256)")
      .Between(0.01, 16000.0);
  command.Add("--copy-to", o->copy_to,
              "A second place for the logbook: a file or a folder");
  command
      .Add("--copy-every", o->copy_every_s, "Seconds between two copies (60)")
      .Between(1.0, 86400.0);
  command.Add("--dog", o->dog, "The dog that is up from the start");
  Bind<Options>(command, call, o,
                "masseter live day.book --from serial:/dev/ttyUSB0@921600",
                Run);
}

}  // namespace masseter::cli
