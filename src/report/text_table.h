// Tables and spark lines for a terminal of fixed columns.
#ifndef MASSETER_REPORT_TEXT_TABLE_H_
#define MASSETER_REPORT_TEXT_TABLE_H_

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "report/report_model.h"

namespace masseter {

enum class Align {
  kLeft,
  kRight,
  kPoint,  // the decimal points, or the ends of whole numbers, in one column
};

// Columns of text, two blanks apart, no rules but one under the headings.
// Widths are counted as a terminal shows them (combining marks 0, wide scripts
// 2). Control characters in a cell become '?', so a dog's name cannot steer
// the terminal; a cell is one line.
class TextTable {
 public:
  // `widest` cuts longer cells with an ellipsis; 0 leaves them whole.
  void AddColumn(std::string heading, Align align, std::size_t widest = 0);
  // Missing cells are empty, cells past the last column are left out.
  void AddRow(std::vector<std::string> cells);

  std::size_t rows() const { return rows_.size(); }
  // The table, each line ended by a newline and without blanks at its end.
  // Without UTF-8, "±", "≥", "–", "…" and "−" become "+/-", ">=", "-", "..."
  // and "-", and what else is not ASCII becomes '?'.
  std::string Text(bool utf8 = true) const;

 private:
  struct Column {
    std::string heading;
    Align align = Align::kLeft;
    std::size_t widest = 0;
  };
  std::vector<Column> columns_;
  std::vector<std::vector<std::string>> rows_;
};

// `text` for a terminal: as TextTable does it with one cell.
std::string TerminalText(std::string_view text, bool utf8);

// One character a height: 0 is the lowest of eight, 1 the highest; NaN (samples
// missing) is a shaded block, '?' in ASCII. Heights outside 0..1 are clamped.
std::string SparkLine(std::span<const float> heights, bool utf8);

// At most `width` heights, 0..1 of the highest force in the trace, each the
// highest of its share of columns; NaN where half of them or more are missing.
std::vector<float> SparkHeights(const TraceColumns& trace, std::size_t width);

}  // namespace masseter

#endif  // MASSETER_REPORT_TEXT_TABLE_H_
