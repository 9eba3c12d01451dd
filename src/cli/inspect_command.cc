#include <fmt/format.h>

#include "app/inspect_capture.h"
#include "cli/command.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::string capture;
  std::string out;
};

nlohmann::ordered_json Answer(const CaptureHealth& h) {
  nlohmann::ordered_json lines = nlohmann::ordered_json::array();
  for (const HealthLine& line : h.lines) {
    nlohmann::ordered_json value = nullptr;
    if (line.value) value = *line.value;
    lines.push_back({{"what", line.what},
                     {"level", HealthWord(line.level)},
                     {"found", line.found},
                     {"value", value},
                     {"unit", line.unit},
                     {"advice", line.advice}});
  }
  return {{"level", HealthWord(h.level)},
          {"samples", h.samples},
          {"duration_s", h.duration_s},
          {"lines", lines}};
}

std::string Words(const CaptureHealth& h) {
  const bool utf8 = TerminalIsUtf8();
  std::string out =
      fmt::format("{} samples in {}.\n\n", h.samples, ClockText(h.duration_s));
  TextTable table;
  table.AddColumn("", Align::kLeft);
  table.AddColumn("", Align::kLeft);
  table.AddColumn("found", Align::kLeft);
  for (const HealthLine& line : h.lines) {
    table.AddRow({std::string(HealthWord(line.level)), line.what, line.found});
  }
  out += table.Text(utf8);
  bool first = true;
  for (const HealthLine& line : h.lines) {
    if (line.advice.empty()) continue;
    out += first ? "\nWhat to do\n" : "";
    first = false;
    out += TerminalText("  " + line.what + ": " + line.advice, utf8) + "\n";
  }
  return out + "\n" + HealthConclusion(h) + "\n";
}

Expected<void> Say(const Options& o, bool json, const HealthModel& model) {
  if (json) return PrintJson(Answer(model.health));
  if (o.out.empty()) return Print(Words(model.health));
  if (o.out == "-") return Print(HealthHtml(model));
  return Print(
      fmt::format("Wrote {}. {}\n", o.out, HealthConclusion(model.health)));
}

Expected<void> Run(const Options& o, bool json) {
  if (json && o.out == "-") {
    return BadInput("--json", "and -o - both want standard output");
  }
  const auto model = InspectCapture(o.book, o.capture);
  if (!model) return tl::unexpected(model.error());
  if (!o.out.empty() && o.out != "-") {
    auto written = WriteHealth(*model, o.book, o.capture, o.out);
    if (!written) return written;
  }
  auto said = Say(o, json, *model);
  if (!said) return said;
  if (model->health.level != HealthLevel::kNoGo) return {};
  return AnswerNo(o.capture, "not fit for a field day as it is");
}

}  // namespace

void AddInspect(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "inspect",
                  "Whether a recording is healthy, before looking at bites");
  command.Add("BOOK", o->book, "The logbook").Required();
  command.Add("CAPTURE", o->capture, "A recording's number, or a capture file")
      .Required();
  command.Add("-o,--out", o->out,
              "The page to write (HTML), - for standard output");
  Bind<Options>(command, call, o, "masseter inspect day.book 1 -o health.html",
                Run);
}

}  // namespace masseter::cli
