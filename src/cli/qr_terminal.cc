#include "cli/qr_terminal.h"

namespace masseter::cli {
namespace {

constexpr std::size_t kQuiet = 4;  // modules, ISO/IEC 18004 6.3.8

// Black on white from the 256 fixed colours, which no theme changes.
constexpr const char* kBlackOnWhite = "\x1b[38;5;16;48;5;231m";
constexpr const char* kAsBefore = "\x1b[0m";

bool Dark(const std::vector<std::string>& rows, std::size_t y, std::size_t x) {
  return y >= kQuiet && x >= kQuiet && y - kQuiet < rows.size() &&
         x - kQuiet < rows[y - kQuiet].size() &&
         rows[y - kQuiet][x - kQuiet] == '1';
}

// The character whose upper and lower halves are drawn or not.
const char* Halves(bool upper, bool lower) {
  if (upper && lower) return "\u2588";
  if (upper) return "\u2580";
  return lower ? "\u2584" : " ";
}

}  // namespace

std::size_t QrColumns(const std::vector<std::string>& rows) {
  return rows.empty() ? 0 : rows[0].size() + 2 * kQuiet;
}

std::vector<std::string> QrLines(const std::vector<std::string>& rows,
                                 bool coloured) {
  std::vector<std::string> lines;
  const std::size_t across = QrColumns(rows);
  const std::size_t down = rows.empty() ? 0 : rows.size() + 2 * kQuiet;
  for (std::size_t y = 0; y < down; y += 2) {
    std::string line = coloured ? kBlackOnWhite : "";
    for (std::size_t x = 0; x < across; ++x) {
      const bool upper = Dark(rows, y, x);
      const bool lower = Dark(rows, y + 1, x);
      line += coloured ? Halves(upper, lower) : Halves(!upper, !lower);
    }
    lines.push_back(line + (coloured ? kAsBefore : ""));
  }
  return lines;
}

}  // namespace masseter::cli
