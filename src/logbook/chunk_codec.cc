#include "logbook/chunk_codec.h"

#include <openssl/sha.h>
#include <zstd.h>

#include <algorithm>
#include <bit>
#include <string>

namespace masseter {
namespace {

constexpr std::array<std::uint8_t, 4> kMagic = {'M', 'S', 'C', '1'};
constexpr int kZstdLevel = 1;
// What repeats in byte planes is long runs; the rest is noise. Looking for
// matches of seven bytes and more in a small table takes a third of level 1's
// time and costs half a hundredth in size.
constexpr int kZstdHashLog = 8;
constexpr int kZstdMinMatch = 7;
constexpr std::size_t kHeaderBytes = 32;
constexpr std::size_t kArrivalBytes = 12;
constexpr std::size_t kColumnHeadBytes = 9;  // role, channel, column's head
constexpr std::size_t kMaxContentBytes =
    kHeaderBytes + kMaxChunkRows * kArrivalBytes + kMaxChunkCells * 8 +
    kMaxChunkColumns * 25;

// The numbers of the roles are part of the file format.
static_assert(static_cast<int>(Role::kSequence) == 0);
static_assert(static_cast<int>(Role::kTimeUs) == 1);
static_assert(static_cast<int>(Role::kTimeMs) == 2);
static_assert(static_cast<int>(Role::kTimeS) == 3);
static_assert(static_cast<int>(Role::kChannel) == 4);
static_assert(static_cast<int>(Role::kSupplyMv) == 5);
static_assert(static_cast<int>(Role::kTemperatureC) == 6);
static_assert(static_cast<int>(Role::kAccelXG) == 7);
static_assert(static_cast<int>(Role::kAccelYG) == 8);
static_assert(static_cast<int>(Role::kAccelZG) == 9);
static_assert(static_cast<int>(Role::kSkip) == 10);
static_assert(static_cast<int>(Role::kBoot) == 11);

tl::unexpected<Error> Damaged(std::string what) {
  return BadInput("", std::move(what));
}

bool ReadArrivals(ByteReader& in, std::size_t count, std::size_t rows,
                  std::vector<Arrival>& out) {
  if (count > rows || in.left() < count * kArrivalBytes) return false;
  std::size_t sum = 0;
  out.resize(count);
  for (Arrival& arrival : out) {
    arrival.rows = in.U32();
    arrival.host_time_s = std::bit_cast<double>(in.U64());
    if (arrival.rows == 0) return false;
    sum += arrival.rows;
  }
  return in.ok() && sum == rows;
}

bool ReadColumns(ByteReader& in, std::size_t count, RawBlock& block) {
  if (in.left() < count * kColumnHeadBytes) return false;
  block.layout.resize(count);
  block.columns.resize(count);
  for (std::size_t c = 0; c < count; ++c) {
    const std::uint8_t role = in.U8();
    if (role > static_cast<std::uint8_t>(Role::kBoot)) return false;
    block.layout[c].role = static_cast<Role>(role);
    block.layout[c].channel = static_cast<std::int32_t>(in.U32());
    if (!DecodeColumn(in, block.rows, block.columns[c])) return false;
  }
  return true;
}

Sha256 HashOf(const Bytes& content) {
  Sha256 sha;
  SHA256(content.data(), content.size(), sha.data());
  return sha;
}

struct FreeCompressor {
  void operator()(ZSTD_CCtx* c) const { ZSTD_freeCCtx(c); }
};
struct FreeDecompressor {
  void operator()(ZSTD_DCtx* d) const { ZSTD_freeDCtx(d); }
};
using Compressor = std::unique_ptr<ZSTD_CCtx, FreeCompressor>;

Compressor MakeCompressor() {
  Compressor made(ZSTD_createCCtx());
  if (!made) return made;
  ZSTD_CCtx_setParameter(made.get(), ZSTD_c_compressionLevel, kZstdLevel);
  ZSTD_CCtx_setParameter(made.get(), ZSTD_c_hashLog, kZstdHashLog);
  ZSTD_CCtx_setParameter(made.get(), ZSTD_c_minMatch, kZstdMinMatch);
  return made;
}

}  // namespace

void WriteContent(const RawChunk& chunk, Bytes& out) {
  const RawBlock& block = chunk.block;
  out.insert(out.end(), kMagic.begin(), kMagic.end());
  PutU32(static_cast<std::uint32_t>(block.rows), out);
  PutU64(static_cast<std::uint64_t>(chunk.capture), out);
  PutU64(chunk.first_row, out);
  PutU32(static_cast<std::uint32_t>(chunk.arrivals.size()), out);
  PutU32(static_cast<std::uint32_t>(block.columns.size()), out);
  for (const Arrival& arrival : chunk.arrivals) {
    PutU32(arrival.rows, out);
    PutU64(std::bit_cast<std::uint64_t>(arrival.host_time_s), out);
  }
  for (std::size_t c = 0; c < block.columns.size(); ++c) {
    out.push_back(static_cast<std::uint8_t>(block.layout[c].role));
    PutU32(static_cast<std::uint32_t>(block.layout[c].channel), out);
    EncodeColumn(block.columns[c], out);
  }
}

Expected<RawChunk> ReadContent(std::span<const std::uint8_t> content) {
  ByteReader in(content);
  const auto magic = in.Take(kMagic.size());
  if (!std::equal(magic.begin(), magic.end(), kMagic.begin(), kMagic.end())) {
    return Damaged("its content does not start with MSC1");
  }
  RawChunk chunk;
  chunk.block.rows = in.U32();
  chunk.capture = static_cast<std::int64_t>(in.U64());
  chunk.first_row = in.U64();
  const std::size_t arrivals = in.U32();
  const std::size_t columns = in.U32();
  const std::size_t rows = chunk.block.rows;
  if (!in.ok() || rows == 0 || rows > kMaxChunkRows ||
      columns > kMaxChunkColumns || columns > kMaxChunkCells / rows) {
    return Damaged("its header is out of bounds");
  }
  if (!ReadArrivals(in, arrivals, rows, chunk.arrivals)) {
    return Damaged("its arrivals do not match its rows");
  }
  if (!ReadColumns(in, columns, chunk.block)) {
    return Damaged("its columns do not match its header");
  }
  if (in.left() != 0) return Damaged("bytes are left over at its end");
  chunk.block.host_time_s = chunk.arrivals.back().host_time_s;
  return chunk;
}

struct ChunkCodec::State {
  Compressor compressor;
  std::unique_ptr<ZSTD_DCtx, FreeDecompressor> decompressor;
  Bytes content;
};

ChunkCodec::ChunkCodec() : state_(std::make_unique<State>()) {}
ChunkCodec::ChunkCodec(ChunkCodec&&) noexcept = default;
ChunkCodec& ChunkCodec::operator=(ChunkCodec&&) noexcept = default;
ChunkCodec::~ChunkCodec() = default;

Expected<PackedChunk> ChunkCodec::Pack(const RawChunk& chunk) {
  if (!state_->compressor) state_->compressor = MakeCompressor();
  if (!state_->compressor) return MachineFailure("", "out of memory");
  Bytes& content = state_->content;
  content.clear();
  WriteContent(chunk, content);

  PackedChunk packed;
  packed.sha256 = HashOf(content);
  packed.bytes.resize(ZSTD_compressBound(content.size()));
  const std::size_t size =
      ZSTD_compress2(state_->compressor.get(), packed.bytes.data(),
                     packed.bytes.size(), content.data(), content.size());
  if (ZSTD_isError(size) != 0) {
    return MachineFailure("", std::string("samples cannot be compressed: ") +
                                  ZSTD_getErrorName(size));
  }
  packed.bytes.resize(size);
  packed.bytes.shrink_to_fit();
  return packed;
}

Expected<RawChunk> ChunkCodec::Unpack(std::span<const std::uint8_t> packed,
                                      std::span<const std::uint8_t> sha256) {
  if (!state_->decompressor) state_->decompressor.reset(ZSTD_createDCtx());
  if (!state_->decompressor) return MachineFailure("", "out of memory");
  const auto size = ZSTD_getFrameContentSize(packed.data(), packed.size());
  if (size == ZSTD_CONTENTSIZE_ERROR || size == ZSTD_CONTENTSIZE_UNKNOWN ||
      size > kMaxContentBytes ||
      ZSTD_findFrameCompressedSize(packed.data(), packed.size()) !=
          packed.size()) {
    return Damaged("it is not one whole zstd frame");
  }
  Bytes& content = state_->content;
  content.resize(size);
  const std::size_t got =
      ZSTD_decompressDCtx(state_->decompressor.get(), content.data(),
                          content.size(), packed.data(), packed.size());
  if (ZSTD_isError(got) != 0 || got != size) {
    return Damaged("it cannot be decompressed");
  }
  const Sha256 sha = HashOf(content);
  if (!std::equal(sha.begin(), sha.end(), sha256.begin(), sha256.end())) {
    return Damaged("its SHA-256 does not match its content");
  }
  return ReadContent(content);
}

}  // namespace masseter
