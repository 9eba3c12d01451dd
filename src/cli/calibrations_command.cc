#include <fmt/format.h>

#include "app/calendar_day.h"
#include "app/calibration_history.h"
#include "app/file_io.h"
#include "cli/command.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::string out;
};

std::string ChangeText(const std::optional<RelativeChange>& change) {
  if (!change) return "not comparable";
  return FigureText(100.0 * change->value, 100.0 * change->u95, "%") +
         (change->more ? " *" : "");
}

std::string Words(const CalibrationHistory& history) {
  const bool utf8 = TerminalIsUtf8();
  if (history.calibrations.empty()) {
    return "No calibration yet; masseter calibrate makes one.\n";
  }
  TextTable table;
  table.AddColumn("no.", Align::kRight);
  table.AddColumn("date", Align::kLeft);
  table.AddColumn("rows", Align::kRight);
  table.AddColumn("uncertainty (95 %)", Align::kLeft);
  table.AddColumn("sleeve since the first", Align::kLeft);
  for (const std::string& name : history.channels) {
    table.AddColumn(name, Align::kLeft);
  }
  for (std::size_t i = 0; i < history.calibrations.size(); ++i) {
    const DatedCalibration& c = history.calibrations[i];
    std::vector<std::string> row = {
        std::to_string(c.id), DayText(c.unix_s),
        std::to_string(c.calibration.rows),
        PercentText(c.calibration.expanded_relative_u95)};
    if (i > 0) {
      const CalibrationChange& change = history.since_first[i - 1];
      row.push_back(ChangeText(change.sleeve));
      for (const auto& channel : change.channels) {
        row.push_back(ChangeText(channel));
      }
    }
    table.AddRow(std::move(row));
  }
  std::string out = TerminalText(history.rig, utf8) + "\n\n" + table.Text(utf8);
  if (history.calibrations.size() > 1) {
    out += "\n" +
           TerminalText(
               "Sleeve: what the first calibration reads too high by the "
               "later one. Channels: their signal a newton. Half-widths of 95 "
               "% intervals; * is more than its uncertainty.",
               utf8) +
           "\n";
  }
  if (history.drift_per_month) {
    const RelativeChange& d = *history.drift_per_month;
    out +=
        TerminalText(
            "Drift " + FigureText(100.0 * d.value, 100.0 * d.u95, "% a month") +
                (d.more ? "." : ": not more than its uncertainty."),
            utf8) +
        "\n";
  }
  return out;
}

Expected<void> Run(const Options& o, bool json) {
  const auto history = ReadCalibrationHistory(o.book);
  if (!history) return tl::unexpected(history.error());
  if (!o.out.empty()) {
    if (auto ok = WriteText(o.out, HistorySvg(*history)); !ok) return ok;
  }
  if (json) return PrintJson(HistoryJson(*history));
  return Print(Words(*history));
}

}  // namespace

void AddCalibrations(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "calibrations",
                  "Compare the calibrations of a logbook over time");
  command.Add("BOOK", o->book, "The logbook").Required();
  command.Add("-o,--out", o->out, "A picture to write (SVG)");
  Bind<Options>(command, call, o,
                "masseter calibrations day.book -o history.svg", Run);
}

}  // namespace masseter::cli
