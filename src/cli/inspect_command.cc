#include <fmt/format.h>

#include <algorithm>

#include "app/inspect_capture.h"
#include "cli/command.h"
#include "report/figure_text.h"
#include "report/text_table.h"

namespace masseter::cli {
namespace {

struct Options {
  std::string book;
  std::string capture;
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

std::string Conclusion(const CaptureHealth& h) {
  const auto count = [&](HealthLevel level) {
    return std::count_if(
        h.lines.begin(), h.lines.end(),
        [level](const HealthLine& line) { return line.level == level; });
  };
  switch (h.level) {
    case HealthLevel::kGo:
      return "Go: nothing stands against a field day.";
    case HealthLevel::kWatch:
      return fmt::format(
          "Go, and watch {}.",
          CountText(static_cast<std::size_t>(count(HealthLevel::kWatch)),
                    "line"));
    case HealthLevel::kNoGo:
      break;
  }
  return fmt::format(
      "No go: mend {} first.",
      CountText(static_cast<std::size_t>(count(HealthLevel::kNoGo)), "line"));
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
  return out + "\n" + Conclusion(h) + "\n";
}

Expected<void> Run(const Options& o, bool json) {
  const auto health = InspectCapture(o.book, o.capture);
  if (!health) return tl::unexpected(health.error());
  auto printed = json ? PrintJson(Answer(*health)) : Print(Words(*health));
  if (!printed) return printed;
  if (health->level != HealthLevel::kNoGo) return {};
  return AnswerNo(o.capture, "not fit for a field day as it is");
}

}  // namespace

void AddInspect(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  CLI::App* command = app.add_subcommand(
      "inspect", "Whether a recording is healthy, before looking at bites");
  command->add_option("BOOK", o->book, "The logbook")->required();
  command
      ->add_option("CAPTURE", o->capture,
                   "A recording's number, or a capture file")
      ->required();
  Bind<Options>(*command, call, o, "masseter inspect day.book 1", Run);
}

}  // namespace masseter::cli
