// Lines of whole numbers in their plainest form, read ahead of the ordinary
// reader (device/sample_line.h) at several times its speed.
#ifndef MASSETER_DEVICE_INTEGER_LINES_H_
#define MASSETER_DEVICE_INTEGER_LINES_H_

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace masseter {

struct LinesRead {
  std::size_t rows = 0;  // lines, each of them a sample
  std::size_t end = 0;   // where in the text the next line begins
};

// Reads the lines of a text from a place on as long as each is plain:
// `fields` numbers of an optional '-' and 1 to 16 digits with one `separator`
// between two and LF or CR LF behind the last, 4096 bytes at most. Stops before
// the first line that is anything else, if only because its end is not there;
// that one may well be a sample for the ordinary reader. What is read here it
// reads as the same values.
//
// The separators' places are found first, 64 bytes at a time; the numbers
// between them do not wait for each other then. Digits are summed eight at a
// time (Lemire and Langdale's way).
//
// Thread rule: one thread at a time.
class IntegerLines {
 public:
  // The lines from `from` on, where one begins, at most `most_rows`; field f of
  // line i goes to targets[f][i]. One line more may be overwritten there if
  // there is room for it. Nothing is read of a text's first eight bytes.
  LinesRead Read(std::span<const char> text, std::size_t from, char separator,
                 std::span<std::int64_t* const> targets, std::size_t most_rows);

 private:
  std::vector<std::uint32_t> places_;  // of separators and line ends: room
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_INTEGER_LINES_H_
