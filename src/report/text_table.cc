#include "report/text_table.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include "report/utf8.h"

namespace masseter {
namespace {

constexpr std::string_view kRule = "─";

bool IsDigit(char c) { return c >= '0' && c <= '9'; }

// Columns of `cell` up to its decimal point: up to the point of its first
// number, or the end of that number; nullopt when it has no number.
std::optional<std::size_t> ColumnsToPoint(std::string_view cell) {
  std::size_t at = 0;
  while (at < cell.size() && !IsDigit(cell[at])) ++at;
  if (at == cell.size()) return std::nullopt;
  while (at < cell.size() && IsDigit(cell[at])) ++at;
  return report::ColumnsOf(cell.substr(0, at));
}

struct Widths {
  std::size_t before = 0;  // up to the decimal point
  std::size_t after = 0;   // from it on
  std::size_t all = 0;     // of the column
};

Widths Measure(const std::vector<std::string>& cells, Align align) {
  Widths widths;
  for (const std::string& cell : cells) {
    const std::size_t all = report::ColumnsOf(cell);
    widths.all = std::max(widths.all, all);
    const auto before = ColumnsToPoint(cell);
    if (align != Align::kPoint || &cell == &cells.front() || !before) continue;
    widths.before = std::max(widths.before, *before);
    widths.after = std::max(widths.after, all - *before);
  }
  widths.all = std::max(widths.all, widths.before + widths.after);
  return widths;
}

std::string Padded(const std::string& cell, Align align, const Widths& widths,
                   bool heading) {
  const std::size_t room = widths.all - report::ColumnsOf(cell);
  std::size_t left = 0;
  if (align == Align::kRight || (align == Align::kPoint && heading)) {
    left = room;
  } else if (align == Align::kPoint) {
    // A word instead of a number ends at the point, as far as there is room.
    const std::size_t point = widths.all - widths.after;
    const std::size_t before =
        ColumnsToPoint(cell).value_or(report::ColumnsOf(cell));
    left = std::min(point - std::min(before, point), room);
  }
  return std::string(left, ' ') + cell + std::string(room - left, ' ');
}

// The ASCII spelling of the few signs that the program itself prints.
std::string_view Ascii(char32_t code) {
  switch (code) {
    case U'±':
      return "+/-";
    case U'≥':
      return ">=";
    case U'–':
    case U'−':
    case U'─':
      return "-";
    case U'…':
      return "...";
    case U'\u202f':
    case U'\u00a0':
      return " ";
    default:
      return "?";
  }
}

void TrimEnd(std::string& line) { line.erase(line.find_last_not_of(' ') + 1); }

std::string Repeat(std::string_view text, std::size_t count) {
  std::string out;
  for (std::size_t i = 0; i < count; ++i) out += text;
  return out;
}

}  // namespace

std::string TerminalText(std::string_view text, bool utf8) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const char32_t code = report::NextCodePoint(text, at);
    if (report::IsUnprintable(code) || code == '\t' || code == '\n') {
      out += '?';
    } else if (code < 0x80 || utf8) {
      report::AppendUtf8(out, code);
    } else {
      out += Ascii(code);
    }
  }
  return out;
}

void TextTable::AddColumn(std::string heading, Align align,
                          std::size_t widest) {
  columns_.push_back({std::move(heading), align, widest});
}

void TextTable::AddRow(std::vector<std::string> cells) {
  cells.resize(columns_.size());
  rows_.push_back(std::move(cells));
}

std::string TextTable::Text(bool utf8) const {
  // lines[0] are the headings, lines[1] the rule under them.
  std::vector<std::string> lines(rows_.size() + 2);
  for (std::size_t c = 0; c < columns_.size(); ++c) {
    const Column& column = columns_[c];
    std::vector<std::string> cells = {TerminalText(column.heading, utf8)};
    for (const auto& row : rows_) {
      const std::string cell =
          column.widest == 0 ? row[c] : report::CutTo(row[c], column.widest);
      cells.push_back(TerminalText(cell, utf8));
    }
    const Widths widths = Measure(cells, column.align);
    const std::string between = c == 0 ? "" : "  ";
    for (std::size_t r = 0; r < cells.size(); ++r) {
      lines[r == 0 ? 0 : r + 1] +=
          between + Padded(cells[r], column.align, widths, r == 0);
    }
    lines[1] += between + Repeat(utf8 ? kRule : "-", widths.all);
  }
  std::string text;
  for (std::string& line : lines) {
    TrimEnd(line);
    text += line + '\n';
  }
  return text;
}

std::string SparkLine(std::span<const float> heights, bool utf8) {
  static constexpr std::array<std::string_view, 8> kBlocks = {
      "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"};
  static constexpr std::string_view kAscii = "_.-:=+*#";
  std::string out;
  for (const float height : heights) {
    if (std::isnan(height)) {
      out += utf8 ? "░" : "?";
      continue;
    }
    const float step = std::clamp(height, 0.0F, 1.0F) * 7.0F;
    const auto level = static_cast<std::size_t>(std::lround(step));
    if (utf8) {
      out += kBlocks[level];
    } else {
      out += kAscii[level];
    }
  }
  return out;
}

std::vector<float> SparkHeights(const TraceColumns& trace, std::size_t width) {
  const std::vector<float>& high = trace.high_n;
  const std::size_t count = std::min(width, high.size());
  float top = 0.0F;
  for (const float force : high) {
    if (std::isfinite(force)) top = std::max(top, force);
  }
  std::vector<float> heights;
  heights.reserve(count);
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t from = i * high.size() / count;
    const std::size_t to = (i + 1) * high.size() / count;
    float highest = 0.0F;
    std::size_t missing = 0;
    for (std::size_t c = from; c < to; ++c) {
      if (std::isfinite(high[c])) {
        highest = std::max(highest, high[c]);
      } else {
        ++missing;
      }
    }
    const bool gap = 2 * missing >= to - from;
    const float share = top > 0.0F ? highest / top : 0.0F;
    heights.push_back(gap ? std::numeric_limits<float>::quiet_NaN() : share);
  }
  return heights;
}

}  // namespace masseter
