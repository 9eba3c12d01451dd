#include "report/utf8.h"

namespace masseter::report {
namespace {

// Length of the sequence that `lead` begins; 0 when it begins none.
int SequenceLength(unsigned char lead) {
  if (lead < 0x80) return 1;
  if (lead >= 0xC2 && lead <= 0xDF) return 2;
  if (lead >= 0xE0 && lead <= 0xEF) return 3;
  if (lead >= 0xF0 && lead <= 0xF4) return 4;
  return 0;
}

// Smallest code point that needs `length` bytes.
char32_t SmallestOf(int length) {
  return length == 2 ? 0x80 : length == 3 ? 0x800 : 0x10000;
}

}  // namespace

char32_t NextCodePoint(std::string_view text, std::size_t& at) {
  const std::size_t begin = at++;
  const auto lead = static_cast<unsigned char>(text[begin]);
  const int length = SequenceLength(lead);
  if (length == 1) return lead;
  const auto bytes = static_cast<std::size_t>(length);
  if (length == 0 || begin + bytes > text.size()) return kReplacement;
  char32_t code = lead & (0x7Fu >> length);
  for (std::size_t i = 1; i < bytes; ++i) {
    const auto next = static_cast<unsigned char>(text[begin + i]);
    if ((next & 0xC0u) != 0x80u) return kReplacement;
    code = (code << 6) | (next & 0x3Fu);
  }
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  if (code < SmallestOf(length) || surrogate || code > 0x10FFFF) {
    return kReplacement;
  }
  at = begin + bytes;
  return code;
}

void AppendUtf8(std::string& out, char32_t code) {
  const auto put = [&out](char32_t byte) {
    out.push_back(static_cast<char>(static_cast<unsigned char>(byte)));
  };
  if (code < 0x80) {
    put(code);
  } else if (code < 0x800) {
    put(0xC0 | (code >> 6));
    put(0x80 | (code & 0x3F));
  } else if (code < 0x10000) {
    put(0xE0 | (code >> 12));
    put(0x80 | ((code >> 6) & 0x3F));
    put(0x80 | (code & 0x3F));
  } else {
    put(0xF0 | (code >> 18));
    put(0x80 | ((code >> 12) & 0x3F));
    put(0x80 | ((code >> 6) & 0x3F));
    put(0x80 | (code & 0x3F));
  }
}

bool IsUnprintable(char32_t code) {
  if (code < 0x20) return code != '\t' && code != '\n';
  if (code >= 0x7F && code <= 0x9F) return true;
  return (code >= 0x202A && code <= 0x202E) ||
         (code >= 0x2066 && code <= 0x2069);
}

int ColumnsOf(char32_t code) {
  const bool combining = (code >= 0x0300 && code <= 0x036F) ||
                         (code >= 0x200B && code <= 0x200F) ||
                         (code >= 0xFE00 && code <= 0xFE0F);
  if (combining) return 0;
  const bool wide = (code >= 0x1100 && code <= 0x115F) ||
                    (code >= 0x2E80 && code <= 0xA4CF) ||
                    (code >= 0xAC00 && code <= 0xD7A3) ||
                    (code >= 0xF900 && code <= 0xFAFF) ||
                    (code >= 0xFF00 && code <= 0xFF60) ||
                    (code >= 0x1F300 && code <= 0x1FAFF) ||
                    (code >= 0x20000 && code <= 0x3FFFD);
  return wide ? 2 : 1;
}

std::size_t ColumnsOf(std::string_view text) {
  std::size_t columns = 0;
  for (std::size_t at = 0; at < text.size();) {
    columns += static_cast<std::size_t>(ColumnsOf(NextCodePoint(text, at)));
  }
  return columns;
}

std::string CutTo(std::string_view text, std::size_t columns) {
  if (ColumnsOf(text) <= columns) return std::string(text);
  if (columns == 0) return "";
  std::string cut;
  std::size_t used = 1;  // the ellipsis
  for (std::size_t at = 0; at < text.size();) {
    const char32_t code = NextCodePoint(text, at);
    used += static_cast<std::size_t>(ColumnsOf(code));
    if (used > columns) break;
    AppendUtf8(cut, code);
  }
  return cut + "…";
}

}  // namespace masseter::report
