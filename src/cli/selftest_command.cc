#include <fmt/format.h>

#include <cmath>

#include "app/file_io.h"
#include "cli/command.h"
#include "report/figure_text.h"
#include "report/text_table.h"
#include "selftest/selftest.h"

namespace masseter::cli {
namespace {

using selftest::CheckedGroup;
using selftest::CheckedLine;

struct Options {
  std::string markdown;
};

// Down, so that 11.96 digits are not called 12.
std::string DigitsText(double digits) {
  return FixedText(std::floor(10.0 * digits) / 10.0, 1);
}

std::string Words(const std::vector<CheckedGroup>& groups) {
  const bool utf8 = TerminalIsUtf8();
  std::string out;
  std::size_t values = 0;
  for (const CheckedGroup& group : groups) {
    TextTable table;
    table.AddColumn("digits agreed", Align::kRight);
    table.AddColumn("demanded", Align::kRight);
    table.AddColumn("values", Align::kRight);
    table.AddColumn("of", Align::kLeft);
    for (const CheckedLine& line : group.lines) {
      values += line.expected.size();
      table.AddRow({DigitsText(line.Worst()) + (line.Reached() ? "" : " !"),
                    FixedText(line.demanded, 0),
                    std::to_string(line.expected.size()), line.what});
    }
    out += TerminalText(group.title + ": " + group.source, utf8) + "\n" +
           table.Text(utf8) + "\n";
  }
  out += selftest::Reached(groups)
             ? fmt::format("{} values, all agree to the digits demanded.\n",
                           values)
             : fmt::format("{} values; lines with ! fall short.\n", values);
  return out;
}

nlohmann::ordered_json Json(const std::vector<CheckedGroup>& groups) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const CheckedGroup& group : groups) {
    nlohmann::ordered_json lines = nlohmann::ordered_json::array();
    for (const CheckedLine& line : group.lines) {
      nlohmann::ordered_json digits = nlohmann::ordered_json::array();
      for (std::size_t i = 0; i < line.expected.size(); ++i) {
        digits.push_back(line.DigitsOf(i));
      }
      lines.push_back({{"what", line.what},
                       {"reached", line.Reached()},
                       {"demanded", line.demanded},
                       {"worst", line.Worst()},
                       {"of_largest", line.of_largest},
                       {"values", line.values},
                       {"expected", line.expected},
                       {"digits", digits}});
    }
    list.push_back(
        {{"title", group.title}, {"source", group.source}, {"lines", lines}});
  }
  return {{"reached", selftest::Reached(groups)}, {"groups", list}};
}

Expected<void> Run(const Options& o, bool json) {
  const std::vector<CheckedGroup> groups = selftest::RunSelftest();
  Expected<void> done;
  if (!o.markdown.empty()) {
    done = WriteText(o.markdown, selftest::ValidationPage(groups));
    if (!done) return done;
  }
  done = json ? PrintJson(Json(groups)) : Print(Words(groups));
  if (!done) return done;
  if (selftest::Reached(groups)) return {};
  return tl::unexpected(
      Error{ErrorKind::kAnswerNo, "selftest",
            "this machine does not reach the digits demanded; do not trust "
            "figures that this program computes on it"});
}

}  // namespace

void AddSelftest(CLI::App& app, Call& call) {
  auto o = std::make_shared<Options>();
  Command command(app, "selftest",
                  "Certified values computed anew on this machine");
  command.Add("--markdown", o->markdown,
              "Write the comparison as a page (docs/validation.md)");
  Bind<Options>(command, call, o, "masseter selftest", Run);
}

}  // namespace masseter::cli
