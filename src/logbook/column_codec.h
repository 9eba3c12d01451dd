// One column of a raw chunk as bytes: differences to the rows before, then
// byte planes, so that the general compressor behind it meets long runs.
// Every int64 and every double comes back bit for bit.
//
// Bytes of one column (little endian; docs/formats/logbook.md):
//
//   u8 kind       0 integers, 1 doubles by their bits, 2 doubles as decimals
//   u8 decimals   kind 2: the value is n / 10^decimals with integer n, else 0
//   u8 order      integers n: 0 as they are, 1 differences, 2 differences of
//                 differences; bits: 0 as they are, 1 XOR with the row before
//   u8 width      bytes kept of each residual, 0..8
//   u64 x seeds   the first min(order, rows) values
//   u8 x width x (rows - seeds)   plane 0 (lowest byte) of all rows, plane 1...
//
// Integer residuals are taken modulo 2^64 (so no pair of values overflows) and
// mapped 0, -1, 1, -2, ... -> 0, 1, 2, 3, ... before they are cut into planes.
//
// Thread rule: free functions without state.
#ifndef MASSETER_LOGBOOK_COLUMN_CODEC_H_
#define MASSETER_LOGBOOK_COLUMN_CODEC_H_

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "core/signal/raw_block.h"

namespace masseter {

using Bytes = std::vector<std::uint8_t>;

// Little-endian writing at the end of `out`.
void PutU32(std::uint32_t value, Bytes& out);
void PutU64(std::uint64_t value, Bytes& out);

// Reads from the front of a byte string and never past its end: after a read
// that did not fit, ok() is false and every later read gives 0 or nothing.
class ByteReader {
 public:
  explicit ByteReader(std::span<const std::uint8_t> bytes) : rest_(bytes) {}

  std::uint8_t U8();
  std::uint32_t U32();
  std::uint64_t U64();
  std::span<const std::uint8_t> Take(std::size_t count);

  bool ok() const { return ok_; }
  std::size_t left() const { return rest_.size(); }

 private:
  std::span<const std::uint8_t> rest_;
  bool ok_ = true;
};

// Appends the bytes of `column`. Among the orders it takes the one whose
// residuals have the fewest bits, in columns of 2048 rows and more those of 64
// rows in every 512.
void EncodeColumn(const RawColumn& column, Bytes& out);

// Reads one column of `rows` values. False when the bytes are not a column;
// `out` is then unspecified.
bool DecodeColumn(ByteReader& in, std::size_t rows, RawColumn& out);

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_COLUMN_CODEC_H_
