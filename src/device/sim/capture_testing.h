// For tests: the simulator's text taken apart again, by a reader that knows
// nothing of the one that wrote it.
#ifndef MASSETER_DEVICE_SIM_CAPTURE_TESTING_H_
#define MASSETER_DEVICE_SIM_CAPTURE_TESTING_H_

#include <charconv>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace masseter::sim {

inline std::vector<std::string_view> SplitAt(std::string_view text, char mark) {
  std::vector<std::string_view> parts;
  while (true) {
    const std::size_t at = text.find(mark);
    parts.push_back(text.substr(0, at));
    if (at == std::string_view::npos) return parts;
    text.remove_prefix(at + 1);
  }
}

// The lines of `text`, which ends with LF.
inline std::vector<std::string_view> LinesOf(std::string_view text) {
  std::vector<std::string_view> lines = SplitAt(text, '\n');
  if (!lines.empty() && lines.back().empty()) lines.pop_back();
  return lines;
}

struct CaptureRow {
  std::int64_t seq = 0;
  std::int64_t t_us = 0;
  std::vector<std::int64_t> words;
  std::int64_t supply_mv = 0;
};

// A sample line of `channels` channels; nullopt when it is not whole.
inline std::optional<CaptureRow> RowOf(std::string_view line,
                                       std::size_t channels) {
  std::vector<std::int64_t> numbers;
  for (const std::string_view field : SplitAt(line, ',')) {
    std::int64_t value = 0;
    const char* end = field.data() + field.size();
    const auto done = std::from_chars(field.data(), end, value);
    if (done.ec != std::errc() || done.ptr != end) return std::nullopt;
    numbers.push_back(value);
  }
  if (numbers.size() != channels + 3) return std::nullopt;
  CaptureRow row;
  row.seq = numbers[0];
  row.t_us = numbers[1];
  row.words.assign(numbers.begin() + 2, numbers.end() - 1);
  row.supply_mv = numbers.back();
  return row;
}

// The whole sample lines of a capture with a header line.
inline std::vector<CaptureRow> RowsOf(std::string_view text,
                                      std::size_t channels) {
  std::vector<CaptureRow> rows;
  for (const std::string_view line : LinesOf(text)) {
    if (auto row = RowOf(line, channels)) rows.push_back(*row);
  }
  return rows;
}

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_CAPTURE_TESTING_H_
