#include <fmt/format.h>

#include "app/import_capture.h"
#include "cli/command.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::string capture;
  std::optional<std::string> roster;
  std::optional<std::string> marks;
  std::optional<std::string> dog;
};

nlohmann::ordered_json Answer(const ImportAnswer& a) {
  nlohmann::ordered_json broken = nlohmann::ordered_json::array();
  for (const BrokenLine& b : a.notes.broken) {
    broken.push_back({{"line", b.line}, {"why", b.why}});
  }
  return {{"capture", a.capture},         {"samples", a.samples},
          {"last_s", a.notes.last_s},     {"rate_hz", a.notes.rate_hz},
          {"gaps", a.notes.gaps},         {"broken_lines", a.broken_lines},
          {"first_broken_lines", broken}, {"bites", a.bites},
          {"warnings", a.notes.warnings}};
}

std::string Words(const ImportAnswer& a, const std::string& book) {
  const bool utf8 = TerminalIsUtf8();
  std::string out =
      fmt::format("Recording {}: {} samples in {}, {:.1f} a second; {}.\n",
                  a.capture, a.samples, ClockText(a.notes.last_s),
                  a.notes.rate_hz, CountText(a.bites, "bite"));
  if (a.notes.gaps > 0) {
    out += fmt::format("Samples are missing at {}.\n",
                       CountText(a.notes.gaps, "place"));
  }
  if (a.broken_lines > 0) {
    out += fmt::format("{} could not be read and {} left out:\n",
                       CountText(a.broken_lines, "line"),
                       a.broken_lines == 1 ? "was" : "were");
    for (std::size_t i = 0; i < a.notes.broken.size() && i < 5; ++i) {
      out += TerminalText(fmt::format("  line {}: {}", a.notes.broken[i].line,
                                      a.notes.broken[i].why),
                          utf8) +
             "\n";
    }
    if (a.broken_lines > 5) {
      out += fmt::format("  and {} more\n", a.broken_lines - 5);
    }
  }
  for (const std::string& w : a.notes.warnings) {
    out += TerminalText("! " + w, utf8) + "\n";
  }
  return out + "Next: masseter bites " + book + "\n";
}

Expected<void> Run(const Options& o, bool json) {
  Progress progress("Reading " + o.capture);
  ImportRequest request;
  request.book_path = o.book;
  request.capture_path = o.capture;
  request.roster_path = o.roster;
  request.marks_path = o.marks;
  request.dog = o.dog;
  request.progress = [&](std::uint64_t done, std::uint64_t total) {
    progress.Show(done, total);
  };
  const auto answer = ImportCapture(request);
  if (!answer) return tl::unexpected(answer.error());
  return json ? PrintJson(Answer(*answer)) : Print(Words(*answer, o.book));
}

}  // namespace

void AddImport(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "import",
                  "Store a capture's raw samples, then find and measure its "
                  "bites");
  command.Add("BOOK", o->book, "The logbook").Required();
  command.Add("CAPTURE", o->capture, "What the device printed").Required();
  command.Add("--roster", o->roster, "dog,breed,mass_kg (CSV)");
  command.Add("--marks", o->marks,
              "t_s,dog (CSV): from this moment this dog is up");
  command.Add("--dog", o->dog, "The dog that is up from the start");
  Bind<Options>(command, call, o,
                "masseter import day.book capture.csv --roster roster.csv "
                "--marks marks.csv",
                Run);
}

}  // namespace masseter::cli
