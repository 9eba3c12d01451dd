#include "pages/form.h"

#include <algorithm>
#include <optional>

namespace masseter {
namespace {

// Cuts the text before `mark` off the front of `rest`.
std::string_view TakeUntil(char mark, std::string_view& rest) {
  const std::size_t end = std::min(rest.find(mark), rest.size());
  const std::string_view piece = rest.substr(0, end);
  rest.remove_prefix(std::min(end + 1, rest.size()));
  return piece;
}

std::optional<unsigned> HexDigit(char c) {
  if (c >= '0' && c <= '9') return static_cast<unsigned>(c - '0');
  if (c >= 'a' && c <= 'f') return static_cast<unsigned>(c - 'a' + 10);
  if (c >= 'A' && c <= 'F') return static_cast<unsigned>(c - 'A' + 10);
  return std::nullopt;
}

std::string Decoded(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '%' && i + 2 < text.size()) {
      const auto high = HexDigit(text[i + 1]);
      const auto low = HexDigit(text[i + 2]);
      if (high && low) {
        out += static_cast<char>(*high * 16 + *low);
        i += 2;
        continue;
      }
    }
    out += text[i] == '+' ? ' ' : text[i];
  }
  return out;
}

}  // namespace

std::vector<std::string_view> CookieValues(std::string_view header,
                                           std::string_view name) {
  std::vector<std::string_view> values;
  while (!header.empty()) {
    std::string_view pair = TakeUntil(';', header);
    pair.remove_prefix(std::min(pair.find_first_not_of(' '), pair.size()));
    std::string_view value = pair;
    if (TakeUntil('=', value) == name) values.push_back(value);
  }
  return values;
}

std::string FormValue(std::string_view body, std::string_view name) {
  while (!body.empty()) {
    std::string_view value = TakeUntil('&', body);
    if (Decoded(TakeUntil('=', value)) == name) return Decoded(value);
  }
  return "";
}

}  // namespace masseter
