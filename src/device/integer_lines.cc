#include "device/integer_lines.h"

#include <algorithm>
#include <bit>
#include <cstring>

#ifdef __SSE2__
#include <emmintrin.h>
#endif

namespace masseter {
namespace {

constexpr std::size_t kBlock = 64;
constexpr std::size_t kPiece = 8192;  // bytes whose places are known at a time
constexpr std::size_t kMostLine = 4096;
constexpr std::size_t kDigits = 8;
constexpr std::uint64_t kHigh = 0x8080808080808080U;

// Bit i: byte i of the 64 is a separator or a line feed.
#ifdef __SSE2__
std::uint64_t Marks(const char* text, char separator) {
  const __m128i split = _mm_set1_epi8(separator);
  const __m128i feed = _mm_set1_epi8('\n');
  std::uint64_t marks = 0;
  for (std::size_t i = 0; i < kBlock; i += 16) {
    const __m128i bytes =
        _mm_loadu_si128(reinterpret_cast<const __m128i*>(text + i));
    const __m128i found =
        _mm_or_si128(_mm_cmpeq_epi8(bytes, split), _mm_cmpeq_epi8(bytes, feed));
    marks |= static_cast<std::uint64_t>(
                 static_cast<unsigned>(_mm_movemask_epi8(found)))
             << i;
  }
  return marks;
}
#else
std::uint64_t Marks(const char* text, char separator) {
  std::uint64_t marks = 0;
  for (std::size_t i = 0; i < kBlock; ++i) {
    const bool found = text[i] == separator || text[i] == '\n';
    marks |= static_cast<std::uint64_t>(found) << i;
  }
  return marks;
}
#endif

// Writes the places of the marks in `text`, a multiple of kBlock long; returns
// how many.
std::size_t FindMarks(std::span<const char> text, char separator,
                      std::uint32_t* places) {
  std::uint32_t* next = places;
  for (std::size_t at = 0; at < text.size(); at += kBlock) {
    for (std::uint64_t marks = Marks(text.data() + at, separator); marks != 0;
         marks &= marks - 1) {
      *next++ = static_cast<std::uint32_t>(at) +
                static_cast<std::uint32_t>(std::countr_zero(marks));
    }
  }
  return static_cast<std::size_t>(next - places);
}

// Eight bytes that end before `end`, the first in the lowest byte.
[[gnu::always_inline]] inline std::uint64_t EightBefore(const char* end) {
  std::uint64_t word = 0;
  std::memcpy(&word, end - kDigits, sizeof word);
  if constexpr (std::endian::native == std::endian::big) {
    word = __builtin_bswap64(word);
  }
  return word;
}

// The number of the last `count` (1 to 8) of these characters; sets bits of
// `fault` when one of them is no digit.
[[gnu::always_inline]] inline std::uint64_t Number(std::uint64_t word,
                                                   std::size_t count,
                                                   std::uint64_t& fault) {
  const std::uint64_t keep = ~std::uint64_t{0} << (64 - 8 * count);
  std::uint64_t digits = (word ^ 0x3030303030303030U) & keep;
  fault |= ((digits + 0x7676767676767676U) | digits) & kHigh;
  digits = (digits * 10) + (digits >> 8);
  return (((digits & 0x000000FF000000FFU) * 0x000F424000000064U) +
          (((digits >> 16) & 0x000000FF000000FFU) * 0x0000271000000001U)) >>
         32;
}

// The number between two places; sets bits of `fault` when it is not plain.
// Eight bytes before `begin` can be read.
[[gnu::always_inline]] inline std::int64_t Field(const char* begin,
                                                 const char* end,
                                                 std::uint64_t& fault) {
  const std::uint64_t negative = *begin == '-' ? 1 : 0;
  const std::size_t count = static_cast<std::size_t>(end - begin) -
                            static_cast<std::size_t>(negative);
  std::uint64_t value = 0;
  if (count - 1 < kDigits) {
    value = Number(EightBefore(end), count, fault);
  } else if (count - 1 < 2 * kDigits) {
    value = Number(EightBefore(end - kDigits), count - kDigits, fault) *
                100000000U +
            Number(EightBefore(end), kDigits, fault);
  } else {
    fault = kHigh;
  }
  return static_cast<std::int64_t>((value ^ (0 - negative)) + negative);
}

// Lines of one piece.
class PieceReader {
 public:
  PieceReader(const char* text, std::span<const std::uint32_t> places,
              std::span<std::int64_t* const> targets)
      : text_(text), places_(places), targets_(targets) {}

  // The line that begins at `at`, place number `mark` its first; false when it
  // is not plain.
  bool Line(std::size_t at, std::size_t mark, std::size_t row) const {
    const std::size_t last = targets_.size() - 1;
    const char* begin = text_ + at;
    std::uint64_t fault = 0;
    for (std::size_t f = 0; f < last; ++f) {
      const char* end = text_ + places_[mark + f];
      targets_[f][row] = Field(begin, end, fault);
      fault |= *end == '\n' ? kHigh : 0;
      begin = end + 1;
    }
    const char* end = text_ + places_[mark + last];
    const bool whole = *end == '\n' && end > begin &&
                       static_cast<std::size_t>(end - text_) - at <= kMostLine;
    if (!whole) return false;
    if (end[-1] == '\r') --end;
    targets_[last][row] = Field(begin, end, fault);
    return fault == 0;
  }

 private:
  const char* text_;
  std::span<const std::uint32_t> places_;
  std::span<std::int64_t* const> targets_;
};

}  // namespace

LinesRead IntegerLines::Read(std::span<const char> text, std::size_t from,
                             char separator,
                             std::span<std::int64_t* const> targets,
                             std::size_t most_rows) {
  LinesRead out{0, from};
  const std::size_t fields = targets.size();
  if (from < kDigits || fields == 0) return out;
  places_.resize(kPiece);
  while (out.rows < most_rows) {
    const std::size_t start = out.end;
    const std::size_t size = std::min(text.size() - start, kPiece);
    const std::size_t count = FindMarks(
        text.subspan(start, size - size % kBlock), separator, places_.data());
    const PieceReader reader(text.data() + start,
                             std::span(places_).first(count), targets);
    std::size_t mark = 0;
    for (; mark + fields <= count && out.rows < most_rows; mark += fields) {
      if (!reader.Line(out.end - start, mark, out.rows)) return out;
      out.end = start + places_[mark + fields - 1] + 1;
      ++out.rows;
    }
    if (mark == 0) return out;  // its end is not there
  }
  return out;
}

}  // namespace masseter
