// Gathers the blocks of one capture into chunks: rows of the same layout and
// the same column types follow each other in one chunk until it is full.
//
// Thread rule: one builder belongs to one thread at a time.
#ifndef MASSETER_LOGBOOK_CHUNK_BUILDER_H_
#define MASSETER_LOGBOOK_CHUNK_BUILDER_H_

#include <cstddef>
#include <cstdint>

#include "logbook/chunk_codec.h"

namespace masseter {

// Rows after which a chunk is full even if no commit is due. At this size the
// 32 bytes of hash and the row of the table weigh nothing, and a range of a
// few seconds is read without unpacking minutes.
inline constexpr std::size_t kChunkRows = 8192;

class ChunkBuilder {
 public:
  ChunkBuilder(std::int64_t capture, std::uint64_t first_row);

  // True when rows of `block` may join what is gathered: nothing is, or layout
  // and column types agree and there is room.
  bool Accepts(const RawBlock& block) const;

  // Adds rows of `block` from `from` on, as many as there is room for, and
  // returns how many. Requires Accepts(block) and from < block.rows.
  std::size_t Add(const RawBlock& block, std::size_t from);

  bool empty() const { return chunk_.block.rows == 0; }
  // What is gathered; a chunk with block.rows > 0 unless empty().
  const RawChunk& chunk() const { return chunk_; }
  // Forgets what is gathered; the next row follows on.
  void StartNext();

 private:
  void Adopt(const RawBlock& block);

  RawChunk chunk_;
};

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_CHUNK_BUILDER_H_
