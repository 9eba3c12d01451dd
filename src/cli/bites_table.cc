#include "cli/bites_table.h"

#include "cli/command.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

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

}  // namespace

std::string BitesTable(const std::vector<StoredBite>& bites) {
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

}  // namespace masseter::cli
