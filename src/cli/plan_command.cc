#include <fmt/format.h>

#include "app/file_io.h"
#include "app/plan_answer.h"
#include "cli/command.h"
#include "cli/terminal_lines.h"
#include "report/plan_sheet.h"
#include "report/significant.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

// More dogs than this fill the terminal.
constexpr int kMostListed = 20;

struct Options {
  PlanQuestion question;
  std::string out;
};

std::string Alternatives(const PlanAnswer& a) {
  if (a.plan.alternatives.size() < 2) return "";
  TextTable table;
  table.AddColumn("bites a dog", Align::kRight);
  table.AddColumn("dogs", Align::kRight);
  table.AddColumn("bites in all", Align::kRight);
  for (const StudyDesign& d : a.plan.alternatives) {
    table.AddRow({std::to_string(d.bites), std::to_string(d.dogs),
                  std::to_string(d.total())});
  }
  return "\nIt would also do with:\n" + table.Text(TerminalIsUtf8());
}

std::string OrderText(const PlanAnswer& a) {
  const OrderBalance& b = a.order.balance;
  std::string text =
      fmt::format("\nRunning order: {} turns", a.order.turns.size());
  for (std::size_t i = 0; i < a.order.day_minutes.size(); ++i) {
    text += fmt::format("{} {} min", i == 0 ? "," : " +",
                        Significant(a.order.day_minutes[i], 3));
  }
  text += fmt::format(
      ". Within rounds every dog follows every other {} times; mean places {} "
      "to {}",
      b.follows_least == b.follows_most
          ? fmt::format("{}", b.follows_most)
          : fmt::format("{} to {}", b.follows_least, b.follows_most),
      Significant(b.place_least, 3), Significant(b.place_most, 3));
  if (b.shortest_rest > 0.0) {
    text +=
        fmt::format("; shortest rest {} min", Significant(b.shortest_rest, 3));
  }
  return text + ".\n";
}

std::string FirstRounds(const PlanAnswer& a) {
  if (a.plan.chosen.dogs > kMostListed) {
    return "  (the sheet, -o plan.html, lists them)";
  }
  std::string text;
  int shown = 0;
  int round = -1;
  int day = 0;
  for (const Turn& t : a.order.turns) {
    if (t.round != round || t.day != day) {
      if (++shown > 12) return text + "\n  ...";
      round = t.round;
      day = t.day;
      text +=
          fmt::format("{}  {}:", text.empty() ? "" : "\n",
                      round == 0 ? "practice" : fmt::format("round {}", round));
    }
    text += " " + a.names[static_cast<std::size_t>(t.dog)];
    text += t.place < a.plan.chosen.dogs ? "," : "";
  }
  return text;
}

std::string Answer(const PlanAnswer& a) {
  std::string text = fmt::format(
      "For {}:\n{} dogs with {} bites each ({} bites). Expect {}.\n{}\n",
      a.wish_words, a.plan.chosen.dogs, a.plan.chosen.bites,
      a.plan.chosen.total(), a.promise_words, a.prior.from);
  text += Alternatives(a);
  text += OrderText(a);
  text += FirstRounds(a) + "\n\n";
  for (const std::string& note : a.notes) text += note + "\n";
  text += std::string(report::PlanCautions().front()) + "\n";
  return text;
}

Expected<void> Run(const Options& o, bool json) {
  Progress progress("Simulating");
  const auto answer =
      AnswerPlan(o.question, [&](std::uint64_t done, std::uint64_t total) {
        progress.Show(done, total);
      });
  if (!answer) return tl::unexpected(answer.error());
  if (!o.out.empty()) {
    if (auto ok = WriteText(o.out, PlanHtml(*answer)); !ok) return ok;
  }
  if (json) return PrintJson(PlanJson(*answer));
  std::string text = Answer(*answer);
  if (!o.out.empty()) {
    text += fmt::format("Wrote {}: print it on A4.\n", o.out);
  }
  return Print(TerminalLines(text));
}

void AddWishes(Command& command, PlanQuestion& q) {
  command.Add("--dog-mean", q.dog_mean,
              "Each dog's mean to within this, such as 10%");
  command.Add("--group-mean", q.group_mean,
              "The mean of all dogs to within this");
  command.Add("--icc-width", q.icc_width,
              "The ICC in an interval this wide, such as 0.2");
  command.Add("--icc", q.reliability,
              "A dog's mean with this reliability, such as 0.9");
  command.Add("--difference", q.difference,
              "Tell two dogs apart that differ by this, such as 20%");
  command.Add("--breed-difference", q.breed_difference,
              "Tell two breeds apart that differ by this");
  command.Add("--dogs", q.dogs, "There are so many dogs");
  command.Add("--bites", q.bites, "So many bites of each dog");
  command.Add("--power", q.power,
              "Chance to see a difference that is there (0.8)");
  command.Add("--level", q.level, "Of intervals (0.95)");
}

void AddPrior(Command& command, PlanQuestion& q) {
  command.Add("BOOK", q.book, "Take the spreads from this logbook");
  command.Add("--table", q.table, "or from this table (dog, force_n)");
  command.Add("--of", q.of, "The figure's column");
  command.Add("--dog-sd", q.dog_sd,
              "Spread between dogs, as sd of ln force (0.3 is 30 %)");
  command.Add("--bite-sd", q.bite_sd,
              "Spread between bites of one dog, likewise");
}

void AddOrder(Command& command, PlanQuestion& q) {
  q.order.practice = 1;
  command.Add("--roster", q.roster, "The dogs' names (roster.csv)");
  command
      .Add("--conditions", q.conditions,
           "Every dog goes through these, such as short,long")
      .SplitAt(',');
  command.Add("--practice", q.order.practice,
              "Bites before that do not count (1)");
  command.Add("--minutes", q.order.minutes_per_bite,
              "Minutes from one bite to the next (2)");
  command.Add("--rest", q.order.rest_minutes,
              "Minutes a dog rests at least between bites (10)");
  command.Add("--per-day", q.order.bites_per_day,
              "Bites of a dog in a day, practice counted");
  command.Add("--seed", q.order.seed, "Another draw of the order (1)");
}

}  // namespace

void AddPlan(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(
      app, "plan",
      "How many dogs and bites answer a question; the running order");
  AddPrior(command, o->question);
  AddWishes(command, o->question);
  AddOrder(command, o->question);
  command.Add("-o,--out", o->out, "The sheet to print (HTML, A4)");
  Bind<Options>(command, call, o,
                "masseter plan day.book --dog-mean 15% -o plan.html", Run);
}

}  // namespace masseter::cli
