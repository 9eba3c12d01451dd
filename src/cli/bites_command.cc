#include <fmt/format.h>

#include "app/bite_list.h"
#include "cli/command.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
};

std::string ReasonWords(const Bite& bite) {
  std::string out;
  for (const Reason& r : bite.reasons) {
    out += (out.empty() ? "" : "; ") + r.text;
  }
  return out;
}

std::string Rounded(const std::optional<double>& v, int decimals) {
  return v ? FixedText(*v, decimals) : "";
}

std::string Table(const std::vector<StoredBite>& bites) {
  const bool utf8 = TerminalIsUtf8();
  TextTable table;
  table.AddColumn("bite", Align::kRight);
  table.AddColumn("dog", Align::kLeft, 16);
  table.AddColumn("at", Align::kRight);
  table.AddColumn("peak", Align::kPoint);
  table.AddColumn("squeeze/N", Align::kPoint);
  table.AddColumn("held/s", Align::kPoint);
  table.AddColumn("verdict", Align::kLeft);
  table.AddColumn("why", Align::kLeft, 60);
  for (const StoredBite& s : bites) {
    const Bite& b = s.bite;
    table.AddRow(
        {std::to_string(b.id), b.dog.empty() ? "(nobody)" : b.dog,
         ClockText(b.start_s), PeakText(b), Rounded(b.squeeze_n, 0),
         FixedText(b.duration_s, 2),
         std::string(VerdictWord(b.verdict)) + (b.at_least ? ", at least" : ""),
         ReasonWords(b)});
  }
  return table.Text(utf8);
}

Expected<void> Run(const Options& o, bool json) {
  const auto bites = ListBites(o.book);
  if (!bites) return tl::unexpected(bites.error());
  if (json) {
    nlohmann::ordered_json list = nlohmann::ordered_json::array();
    for (const StoredBite& s : *bites) {
      nlohmann::ordered_json j = BiteAnswer(s.bite);
      j["capture"] = s.provenance.capture;
      j["calibration"] = s.provenance.calibration;
      j["rig_revision"] = s.provenance.rig_revision;
      j["method"] = s.provenance.method;
      list.push_back(std::move(j));
    }
    return PrintJson({{"bites", list}});
  }
  if (bites->empty()) return Print("No bites yet.\n");
  return Print(Table(*bites));
}

}  // namespace

void AddBites(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  CLI::App* command =
      app.add_subcommand("bites", "The bites and their verdicts");
  command->add_option("BOOK", o->book, "The logbook")->required();
  Bind<Options>(*command, call, o, "masseter bites day.book --json", Run);
}

}  // namespace masseter::cli
