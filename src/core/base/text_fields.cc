#include "core/base/text_fields.h"

#include <charconv>
#include <cmath>

namespace masseter {

std::string_view Trim(std::string_view text) {
  const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
  while (!text.empty() && blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && blank(text.back())) text.remove_suffix(1);
  return text;
}

std::optional<double> ParseNumber(std::string_view text) {
  if (!text.empty() && text.front() == '+') text.remove_prefix(1);
  double value = 0.0;
  const auto [end, error] =
      std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() ||
      !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

std::vector<std::string> SplitFields(std::string_view line, char separator) {
  std::vector<std::string> out(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (quoted && c == '"' && i + 1 < line.size() && line[i + 1] == '"') {
      out.back() += '"';
      ++i;
    } else if (c == '"') {
      quoted = !quoted;
    } else if (c == separator && !quoted) {
      out.emplace_back();
    } else {
      out.back() += c;
    }
  }
  for (std::string& field : out) field = std::string(Trim(field));
  return out;
}

TextLines::TextLines(std::string_view text) : rest_(text) {
  if (rest_.starts_with("\xEF\xBB\xBF")) rest_.remove_prefix(3);
}

std::optional<std::string_view> TextLines::Next() {
  while (!rest_.empty()) {
    const std::size_t end = rest_.find('\n');
    const std::string_view line = rest_.substr(0, end);
    rest_.remove_prefix(end == std::string_view::npos ? rest_.size() : end + 1);
    ++number_;
    const std::string_view words = Trim(line);
    if (!words.empty() && words.front() != '#') return line;
  }
  return std::nullopt;
}

char SeparatorOf(std::string_view header) {
  for (const char c : {';', '\t'}) {
    if (header.find(c) != std::string_view::npos) return c;
  }
  return ',';
}

}  // namespace masseter
