#include <fmt/format.h>

#include "app/amend_book.h"
#include "app/bite_json.h"
#include "app/file_io.h"
#include "cli/bite_line.h"
#include "cli/command.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::optional<std::int64_t> bite;
  std::optional<std::string> strike_out;
  bool give_back = false;
  std::optional<std::string> note;
};

nlohmann::ordered_json Listed(const DayWords& words) {
  nlohmann::ordered_json notes = nlohmann::ordered_json::array();
  for (const DayNote& n : words.notes) {
    notes.push_back({{"id", n.id},
                     {"at_unix_s", n.at_unix_s},
                     {"dog", n.dog},
                     {"bite", nullptr},
                     {"text", n.text}});
    if (n.bite) notes.back()["bite"] = *n.bite;
  }
  nlohmann::ordered_json out = nlohmann::ordered_json::array();
  for (const auto& [bite, reason] : words.withdrawn) {
    out.push_back({{"bite", bite}, {"reason", reason}});
  }
  return {{"struck_out", out}, {"notes", notes}};
}

std::string Words(const DayWords& words) {
  if (words.notes.empty() && words.withdrawn.empty()) {
    return "No bite is struck out, and there is no note.\n";
  }
  const bool utf8 = TerminalIsUtf8();
  TextTable table;
  table.AddColumn("", Align::kLeft);
  table.AddColumn("bite", Align::kRight);
  table.AddColumn("dog", Align::kLeft, 16);
  table.AddColumn("when", Align::kLeft);
  table.AddColumn("words", Align::kLeft, 60);
  for (const auto& [bite, reason] : words.withdrawn) {
    table.AddRow({"struck out", std::to_string(bite), "", "", reason});
  }
  for (const DayNote& n : words.notes) {
    table.AddRow({"note", n.bite ? std::to_string(*n.bite) : "", n.dog,
                  LocalTime(n.at_unix_s), n.text});
  }
  return table.Text(utf8);
}

Expected<void> List(const Options& o, bool json) {
  if (o.strike_out || o.give_back || o.note) {
    return BadInput(
        "BITE", "say which bite, by its number in masseter bites " + o.book);
  }
  const auto logbook = Logbook::Open(o.book, Access::kRead);
  if (!logbook) return tl::unexpected(logbook.error());
  const auto words = ReadDayWords(*logbook, NowUnixS());
  if (!words) return tl::unexpected(words.error());
  return json ? PrintJson(Listed(*words)) : Print(Words(*words));
}

Expected<void> Run(const Options& o, bool json) {
  if (!o.bite) return List(o, json);
  const auto answer =
      Amend({o.book, *o.bite, o.strike_out, o.give_back, o.note});
  if (!answer) return tl::unexpected(answer.error());
  if (json) {
    return PrintJson(
        {{"entry", answer->entry}, {"bite", BiteAnswer(answer->bite)}});
  }
  return Print(BiteLine(answer->bite, TerminalIsUtf8()) + "\n");
}

}  // namespace

void AddAmend(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(
      app, "amend",
      "Strike a bite out with a reason, take that back, or note on it");
  command.Add("BOOK", o->book, "The logbook").Required();
  command.Add("BITE", o->bite,
              "The bite's number; without it lists what was said");
  command.Add("--void", o->strike_out,
              "Strike it out: why, in 3 to 200 letters");
  command.AddFlag("--restore", o->give_back, "Take that back");
  command.Add("--note", o->note, "A note, up to 300 letters");
  Bind<Options>(command, call, o,
                "masseter amend day.book 3 --void \"the sleeve fell\"", Run);
}

}  // namespace masseter::cli
