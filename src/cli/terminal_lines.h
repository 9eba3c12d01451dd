// Several lines of text for the terminal at hand.
#ifndef MASSETER_CLI_TERMINAL_LINES_H_
#define MASSETER_CLI_TERMINAL_LINES_H_

#include <string>
#include <string_view>

#include "cli/command.h"
#include "report/text_table.h"

namespace masseter::cli {

// Every line as TerminalText makes it; the line ends stay.
inline std::string TerminalLines(std::string_view text) {
  const bool utf8 = TerminalIsUtf8();
  std::string out;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    out += TerminalText(text.substr(0, end), utf8);
    if (end == std::string_view::npos) break;
    out += '\n';
    text.remove_prefix(end + 1);
  }
  return out;
}

}  // namespace masseter::cli

#endif  // MASSETER_CLI_TERMINAL_LINES_H_
