#include <fmt/format.h>

#include "app/file_io.h"
#include "app/status.h"
#include "cli/command.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
};

nlohmann::ordered_json StageAnswer(const StageRecord& stage) {
  nlohmann::ordered_json items = nlohmann::ordered_json::array();
  for (const StageItem& item : stage.items) {
    nlohmann::ordered_json sleeve = nullptr;
    if (item.sleeve) sleeve = *item.sleeve;
    items.push_back({{"what", item.what},
                     {"state", item.state},
                     {"text", item.text},
                     {"sleeve", sleeve}});
  }
  return {{"stage", stage.stage},
          {"at_unix_s", stage.at_unix_s},
          {"items", items},
          {"anyway", stage.anyway}};
}

nlohmann::ordered_json Answer(const BookStatus& s) {
  nlohmann::ordered_json captures = nlohmann::ordered_json::array();
  for (const CaptureStatus& c : s.captures) {
    nlohmann::ordered_json clocks = nullptr;
    if (c.clocks) {
      clocks = {{"start_unix_s", c.clocks->HostAt(0.0)},
                {"drift_ppm", c.clocks->drift_ppm},
                {"spread_s", c.clocks->spread_s}};
    }
    captures.push_back({{"id", c.id},
                        {"source", c.source},
                        {"samples", c.samples},
                        {"first_s", c.first_s},
                        {"last_s", c.last_s},
                        {"rate_hz", c.rate_hz},
                        {"gaps", c.gaps},
                        {"broken_lines", c.broken_lines},
                        {"bites", c.bites},
                        {"struck_out", c.struck_out},
                        {"open", c.open},
                        {"clocks", clocks},
                        {"warnings", c.warnings}});
  }
  nlohmann::ordered_json stages = nlohmann::ordered_json::array();
  for (const StageRecord& stage : s.stages) {
    stages.push_back(StageAnswer(stage));
  }
  return {{"captures", captures},           {"checks", stages},
          {"calibrations", s.calibrations}, {"rig", s.rig},
          {"rig_revision", s.rig_revision}, {"dogs", s.dogs}};
}

std::string Words(const BookStatus& s) {
  const bool utf8 = TerminalIsUtf8();
  std::string out = fmt::format("Rig \"{}\", revision {}.\n",
                                TerminalText(s.rig, utf8), s.rig_revision);
  out += s.calibrations == 0
             ? "No calibration yet: no figure in newtons can be trusted.\n"
             : fmt::format("{}, the newest of {}.\n",
                           CountText(s.calibrations, "calibration"),
                           LocalTime(s.calibrated_unix_s));
  out += fmt::format("{} on the roster.\n", CountText(s.dogs, "dog"));
  for (const StageRecord& stage : s.stages) {
    out += TerminalText(StageSentence(stage), utf8) + ".\n";
  }
  if (s.captures.empty()) return out + "No recording yet.\n";
  TextTable table;
  table.AddColumn("recording", Align::kRight);
  table.AddColumn("from", Align::kLeft, 32);
  table.AddColumn("when", Align::kLeft);
  table.AddColumn("samples", Align::kRight);
  table.AddColumn("length", Align::kRight);
  table.AddColumn("gaps", Align::kRight);
  table.AddColumn("bites", Align::kRight);
  table.AddColumn("", Align::kLeft);
  for (const CaptureStatus& c : s.captures) {
    table.AddRow({std::to_string(c.id), c.source, LocalTime(c.created_unix_s),
                  std::to_string(c.samples), ClockText(c.last_s),
                  std::to_string(c.gaps), std::to_string(c.bites),
                  c.open ? "not closed" : ""});
  }
  return out + "\n" + table.Text(utf8);
}

Expected<void> Run(const Options& o, bool json) {
  const auto status = StatusOf(o.book);
  if (!status) return tl::unexpected(status.error());
  return json ? PrintJson(Answer(*status)) : Print(Words(*status));
}

}  // namespace

void AddStatus(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "status", "What the logbook holds");
  command.Add("BOOK", o->book, "The logbook").Required();
  Bind<Options>(command, call, o, "masseter status day.book", Run);
}

}  // namespace masseter::cli
