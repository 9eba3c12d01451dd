#include <fmt/format.h>

#include "app/season_answer.h"
#include "cli/command.h"
#include "report/significant.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

std::string Answer(const SeasonAnswer& a) {
  TextTable table;
  table.AddColumn("day", Align::kLeft);
  table.AddColumn("bites", Align::kRight);
  table.AddColumn(a.figures.of + ", mean", Align::kPoint);
  table.AddColumn("95 % interval", Align::kLeft);
  table.AddColumn("expected at least", Align::kPoint);
  table.AddColumn("", Align::kLeft);
  for (std::size_t i = 0; i < a.season.days.size(); ++i) {
    const SeasonDay& d = a.season.days[i];
    table.AddRow(
        {a.day_names[i], std::to_string(d.bites),
         (d.only_at_least ? "≥ " : "") + Significant(d.force, 3),
         d.hi > 0.0 ? Significant(d.lo, 3) + " to " + Significant(d.hi, 3) : "",
         d.expected_low ? Significant(*d.expected_low, 3) : "",
         d.fall ? "fall" : ""});
  }
  std::string text = table.Text(TerminalIsUtf8());
  for (const std::string& words : a.words) {
    text += TerminalText(words, TerminalIsUtf8()) + "\n";
  }
  const std::string left = LeftOutWords(a.figures);
  return text + (left.empty() ? "" : left + "\n");
}

Expected<void> Run(const SeasonQuestion& q, bool json) {
  const auto answer = AnswerSeason(q);
  if (!answer) return tl::unexpected(answer.error());
  if (json) return PrintJson(SeasonJson(*answer));
  return Print(Answer(*answer));
}

}  // namespace

void AddSeason(CLI::App& app, Call& call) {
  auto o = std::make_shared<SeasonQuestion>();
  Command command(app, "season", "One dog over months: trend and falls");
  command.Add("BOOK", o->books, "One or more logbooks");
  command.Add("--table", o->table,
              "A table instead: day (2026-05-16), force_n, dog");
  command.Add("--dog", o->dog, "The dog");
  command.Add("--of", o->of, "The figure's column");
  Bind<SeasonQuestion>(command, call, o,
                       "masseter season spring.book summer.book --dog Brisk",
                       Run);
}

}  // namespace masseter::cli
