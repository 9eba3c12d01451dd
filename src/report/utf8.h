// Reads UTF-8 a code point at a time, for escaping and for counting columns.
#ifndef MASSETER_REPORT_UTF8_H_
#define MASSETER_REPORT_UTF8_H_

#include <cstddef>
#include <string>
#include <string_view>

namespace masseter::report {

inline constexpr char32_t kReplacement = 0xFFFD;

// The code point at `at` (which must be inside `text`), moving `at` past it.
// Bytes that are no UTF-8 (truncated, overlong, surrogates, past U+10FFFF)
// count as one U+FFFD for each byte. RFC 3629.
char32_t NextCodePoint(std::string_view text, std::size_t& at);

// Appends `code` as UTF-8.
void AppendUtf8(std::string& out, char32_t code);

// True for what must not reach a page or a terminal as it is: control
// characters (C0 but not tab and newline, DEL, C1) and direction overrides.
bool IsUnprintable(char32_t code);

// Columns that a terminal gives the code point: 0 for combining marks, 2 for
// wide scripts and pictographs, else 1 (a short form of Unicode UAX 11).
int ColumnsOf(char32_t code);

// Columns of a whole text.
std::size_t ColumnsOf(std::string_view text);

// `text` cut to at most `columns`, the last one an ellipsis if it was cut.
std::string CutTo(std::string_view text, std::size_t columns);

}  // namespace masseter::report

#endif  // MASSETER_REPORT_UTF8_H_
