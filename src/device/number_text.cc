#include "device/number_text.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <system_error>

namespace masseter {
namespace {

bool IsDigit(char c) { return c >= '0' && c <= '9'; }

// `text` without sign '+'; `text` begins with a digit, '.' or '-'.
NumberFault ParseDecimal(std::string_view text, NumberText& value) {
  double real = 0.0;
  const char* end = text.data() + text.size();
  const auto [at, error] =
      std::from_chars(text.data(), end, real, std::chars_format::general);
  if (at != end || error == std::errc::invalid_argument) {
    return NumberFault::kNotANumber;
  }
  if (error == std::errc::result_out_of_range) return NumberFault::kOutOfRange;
  if (!std::isfinite(real)) return NumberFault::kNotFinite;
  value.decimal = true;
  value.real = real;
  return NumberFault::kNone;
}

NumberFault ParseWithComma(std::string_view text, std::size_t comma,
                           NumberText& value) {
  std::array<char, 64> copy;
  if (text.size() > copy.size() ||
      text.find_first_of(".,", comma + 1) != text.npos ||
      text.find('.') != text.npos) {
    return NumberFault::kNotANumber;
  }
  std::copy(text.begin(), text.end(), copy.begin());
  copy[comma] = '.';
  return ParseDecimal(std::string_view(copy.data(), text.size()), value);
}

// Length of the well-formed UTF-8 sequence of two bytes or more at the start
// of `text`, or 0 (Unicode 15.0, table 3-7; C1 controls are refused too).
std::size_t Utf8Length(std::string_view text) {
  const auto byte = [&](std::size_t i) {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u;
  };
  const auto tail = [&](std::size_t i) { return (byte(i) & 0xC0u) == 0x80u; };
  const unsigned b0 = byte(0);
  const unsigned b1 = byte(1);
  if (b0 >= 0xC2 && b0 <= 0xDF && tail(1)) {
    return b0 == 0xC2 && b1 < 0xA0 ? 0 : 2;
  }
  if (b0 >= 0xE0 && b0 <= 0xEF && tail(1) && tail(2)) {
    const bool overlong = b0 == 0xE0 && b1 < 0xA0;
    const bool surrogate = b0 == 0xED && b1 > 0x9F;
    return overlong || surrogate ? 0 : 3;
  }
  if (b0 >= 0xF0 && b0 <= 0xF4 && tail(1) && tail(2) && tail(3)) {
    const bool overlong = b0 == 0xF0 && b1 < 0x90;
    const bool beyond = b0 == 0xF4 && b1 > 0x8F;
    return overlong || beyond ? 0 : 4;
  }
  return 0;
}

}  // namespace

NumberFault ParseNumber(std::string_view text, bool decimal_comma,
                        NumberText& value) {
  if (text.empty()) return NumberFault::kEmpty;
  if (text.front() == '+') {
    text.remove_prefix(1);
    if (text.empty() || text.front() == '-') return NumberFault::kNotANumber;
  }
  const std::size_t first = text.front() == '-' ? 1 : 0;
  if (text.size() == first) return NumberFault::kNotANumber;
  if (std::all_of(text.begin() + static_cast<std::ptrdiff_t>(first), text.end(),
                  IsDigit)) {
    std::int64_t integer = 0;
    const auto result =
        std::from_chars(text.data(), text.data() + text.size(), integer);
    if (result.ec != std::errc()) return NumberFault::kBeyond64;
    value.decimal = false;
    value.integer = integer;
    return NumberFault::kNone;
  }
  const std::size_t comma = decimal_comma ? text.find(',') : text.npos;
  return comma == text.npos ? ParseDecimal(text, value)
                            : ParseWithComma(text, comma, value);
}

std::string Quoted(std::string_view text) {
  static constexpr std::size_t kMost = 32;       // bytes of text
  static constexpr std::size_t kMostShown = 40;  // characters of output
  static constexpr char kHex[] = "0123456789abcdef";
  std::string out = "\"";
  std::size_t i = 0;
  while (i < text.size() && i < kMost && out.size() < kMostShown) {
    const unsigned char c = static_cast<unsigned char>(text[i]);
    std::size_t length = c >= 0x20 && c < 0x7F ? 1 : Utf8Length(text.substr(i));
    if (length == 0) {
      out += "\\x";
      out += kHex[c >> 4];
      out += kHex[c & 15];
      length = 1;
    } else {
      out += text.substr(i, length);
    }
    i += length;
  }
  out += i < text.size() ? "...\"" : "\"";
  return out;
}

}  // namespace masseter
