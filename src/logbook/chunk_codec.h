// A raw chunk: up to kMaxChunkRows consecutive lines of one capture, as the
// bytes that a logbook keeps. Two layers:
//
//   content = header, arrivals, columns (column_codec.h); what SHA-256 covers
//   packed  = one zstd frame around the content; what is stored
//
// Content (little endian; docs/formats/logbook.md):
//
//   0  4 bytes "MSC1"
//   4  u32 rows, 1..65536
//   8  i64 capture
//  16  u64 first row within the capture, counted from 0
//  24  u32 arrivals
//  28  u32 columns, 0..512
//  32  arrivals x { u32 rows, u64 bits of the host time (double) }
//      columns  x { u8 role, i32 channel, column }
//
// The capture and the row range stand inside the content, so a chunk that
// ends up in another place of the file is found out, not only a flipped bit.
//
// Errors have no place: the caller knows which chunk it was.
//
// Thread rule: one ChunkCodec belongs to one thread at a time.
#ifndef MASSETER_LOGBOOK_CHUNK_CODEC_H_
#define MASSETER_LOGBOOK_CHUNK_CODEC_H_

#include <array>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "core/base/error.h"
#include "core/signal/raw_block.h"
#include "logbook/column_codec.h"

namespace masseter {

// The number of the coding described above, kept beside each chunk.
inline constexpr int kChunkCodecVersion = 1;

// Bounds of one chunk. They also bound the memory a damaged chunk can ask for.
inline constexpr std::size_t kMaxChunkRows = 65536;
inline constexpr std::size_t kMaxChunkColumns = 512;
inline constexpr std::size_t kMaxChunkCells = std::size_t{1} << 22;

using Sha256 = std::array<std::uint8_t, 32>;

// A run of rows that came in together at one host time.
struct Arrival {
  std::uint32_t rows = 0;
  double host_time_s = 0.0;
};

// `block.host_time_s` is not stored: `arrivals` say it for every row. Their
// rows add up to block.rows.
struct RawChunk {
  std::int64_t capture = 0;
  std::uint64_t first_row = 0;
  RawBlock block;
  std::vector<Arrival> arrivals;
};

struct PackedChunk {
  Bytes bytes;    // one zstd frame
  Sha256 sha256;  // of the content
};

// The content of a chunk whose invariants hold (see RawBlock and the bounds).
// The same chunk always gives the same bytes.
void WriteContent(const RawChunk& chunk, Bytes& out);

// The chunk behind any byte string; refuses whatever WriteContent cannot have
// written in its form: wrong sizes, unknown roles, bytes left over.
Expected<RawChunk> ReadContent(std::span<const std::uint8_t> content);

// Packs and unpacks; holds the compressor's state so that it is made once.
class ChunkCodec {
 public:
  ChunkCodec();
  ChunkCodec(ChunkCodec&&) noexcept;
  ChunkCodec& operator=(ChunkCodec&&) noexcept;
  ~ChunkCodec();

  // Fails only for lack of memory.
  Expected<PackedChunk> Pack(const RawChunk& chunk);
  // Checks the SHA-256 before it reads the content.
  Expected<RawChunk> Unpack(std::span<const std::uint8_t> packed,
                            std::span<const std::uint8_t> sha256);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_CHUNK_CODEC_H_
