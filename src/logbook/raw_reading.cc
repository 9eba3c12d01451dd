// Raw samples out of the logbook.
#include <algorithm>
#include <limits>

#include "logbook/logbook_impl.h"

namespace masseter {
namespace {

constexpr std::uint64_t kLastRow = std::numeric_limits<std::int64_t>::max();

std::string RowsText(std::uint64_t first, std::uint64_t last) {
  return "rows " + std::to_string(first) + " to " + std::to_string(last);
}

tl::unexpected<Error> DamagedRows(const std::string& path, std::int64_t capture,
                                  std::uint64_t first, std::uint64_t last,
                                  const std::string& why) {
  return BadInput(path, "capture " + std::to_string(capture) + ", " +
                            RowsText(first, last) + ": the chunk is damaged; " +
                            why);
}

// Rows [from, from + count) of `block`.
RawBlock Slice(const RawBlock& block, std::size_t from, std::size_t count) {
  RawBlock out;
  out.layout = block.layout;
  out.rows = count;
  for (const RawColumn& column : block.columns) {
    std::visit(
        [&](const auto& v) {
          const auto begin = v.begin() + static_cast<std::ptrdiff_t>(from);
          out.columns.emplace_back(std::decay_t<decltype(v)>(
              begin, begin + static_cast<std::ptrdiff_t>(count)));
        },
        column);
  }
  return out;
}

// Shows the rows of `chunk` within [first, last], arrival by arrival. False
// when the visitor has had enough.
bool Show(RawChunk& chunk, std::uint64_t first, std::uint64_t last,
          const std::function<bool(const RawBlock&)>& visit) {
  const std::uint64_t end = chunk.first_row + chunk.block.rows;
  if (chunk.arrivals.size() == 1 && first <= chunk.first_row &&
      last >= end - 1) {
    return visit(chunk.block);
  }
  std::uint64_t row = chunk.first_row;
  for (const Arrival& arrival : chunk.arrivals) {
    const std::uint64_t from = std::max(row, first);
    const std::uint64_t to = std::min(row + arrival.rows, last + 1);
    row += arrival.rows;
    if (from >= to) continue;
    RawBlock block = Slice(chunk.block, from - chunk.first_row, to - from);
    block.host_time_s = arrival.host_time_s;
    if (!visit(block)) return false;
  }
  return true;
}

// The chunk that holds `row`, unpacked and checked against its place in the
// table; without a value when the capture ends before `row`.
Expected<std::optional<RawChunk>> ChunkAt(Database& db, ChunkCodec& codec,
                                          std::int64_t capture,
                                          std::uint64_t row) {
  auto query = db.Prepare(
      "SELECT first_row, rows, codec, sha256, data FROM raw_chunk"
      " WHERE capture = ?1 AND first_row <= ?2"
      " ORDER BY first_row DESC LIMIT 1");
  if (!query) return tl::unexpected(query.error());
  query->Bind(1, capture).Bind(2, static_cast<std::int64_t>(row));
  const auto found = query->Step();
  if (!found) return tl::unexpected(found.error());
  if (!*found) return std::optional<RawChunk>();
  const auto first = static_cast<std::uint64_t>(query->Int(0));
  const auto rows = static_cast<std::uint64_t>(query->Int(1));
  if (first + rows <= row) return std::optional<RawChunk>();
  const std::uint64_t last = first + rows - 1;
  if (query->Int(2) != kChunkCodecVersion) {
    return DamagedRows(db.path(), capture, first, last,
                       "its coding is unknown");
  }
  auto chunk = codec.Unpack(query->Blob(4), query->Blob(3));
  if (!chunk) {
    return DamagedRows(db.path(), capture, first, last, chunk.error().what);
  }
  if (chunk->capture != capture || chunk->first_row != first ||
      chunk->block.rows != rows) {
    return DamagedRows(db.path(), capture, first, last,
                       "it belongs to another place");
  }
  return std::optional<RawChunk>(std::move(*chunk));
}

// True when samples beyond `row` exist though the one at `row` does not.
Expected<bool> MissingAt(Database& db, std::int64_t capture,
                         std::uint64_t row) {
  auto query = db.Prepare(
      "SELECT 1 FROM raw_chunk WHERE capture = ?1 AND first_row > ?2 LIMIT 1");
  if (!query) return tl::unexpected(query.error());
  query->Bind(1, capture).Bind(2, static_cast<std::int64_t>(row));
  return query->Step();
}

}  // namespace

Expected<void> Logbook::ReadRaw(
    std::int64_t capture,
    const std::function<bool(const RawBlock&)>& visit) const {
  return ReadRawRange(capture, 0, kLastRow - 1, visit);
}

Expected<void> Logbook::ReadRawRange(
    std::int64_t capture, std::uint64_t first, std::uint64_t last,
    const std::function<bool(const RawBlock&)>& visit) const {
  Impl& impl = *impl_;
  if (auto stored = impl.StorePending(); !stored) return stored;
  if (auto exists = CheckCaptureExists(impl.db, capture); !exists) {
    return exists;
  }
  last = std::min(last, kLastRow - 1);
  // One query a chunk: no statement, and so no snapshot of the file, stays
  // open while the visitor works.
  for (std::uint64_t row = first; row <= last;) {
    auto chunk = ChunkAt(impl.db, impl.codec, capture, row);
    if (!chunk) return tl::unexpected(chunk.error());
    if (!*chunk) {
      const auto missing = MissingAt(impl.db, capture, row);
      if (!missing) return tl::unexpected(missing.error());
      if (!*missing) return {};
      return BadInput(impl.path, "capture " + std::to_string(capture) +
                                     ": the samples from row " +
                                     std::to_string(row) + " on are missing");
    }
    RawChunk& found = **chunk;
    row = found.first_row + found.block.rows;
    if (!Show(found, first, last, visit)) return {};
  }
  return {};
}

}  // namespace masseter
