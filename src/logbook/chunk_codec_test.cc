// Columns and chunks to bytes and back, bit for bit. The frozen chunk of
// tests/golden/logbook_chunk_v1 is read by every later version of the program.
#include "logbook/chunk_codec.h"

#include <gtest/gtest.h>

#include <bit>
#include <cmath>
#include <limits>

#include "logbook/test_files.h"

namespace masseter {
namespace {

constexpr auto kMin = std::numeric_limits<std::int64_t>::min();
constexpr auto kMax = std::numeric_limits<std::int64_t>::max();

RawChunk ChunkOf(RawBlock block) {
  RawChunk chunk;
  chunk.capture = 3;
  chunk.first_row = 8192;
  chunk.arrivals = {
      {static_cast<std::uint32_t>(block.rows), block.host_time_s}};
  chunk.block = std::move(block);
  return chunk;
}

RawBlock OneColumn(RawColumn column) {
  RawBlock block;
  block.rows = RawColumnSize(column);
  block.layout = {{Role::kChannel, 0}};
  block.columns = {std::move(column)};
  return block;
}

Bytes Encoded(const RawColumn& column) {
  Bytes out;
  EncodeColumn(column, out);
  return out;
}

void ExpectRoundTrip(const RawBlock& block) {
  ChunkCodec codec;
  const auto packed = codec.Pack(ChunkOf(block));
  ASSERT_TRUE(packed) << packed.error().what;
  const auto back = codec.Unpack(packed->bytes, packed->sha256);
  ASSERT_TRUE(back) << back.error().what;
  EXPECT_TRUE(SameBits(back->block, block));
  EXPECT_EQ(back->capture, 3);
  EXPECT_EQ(back->first_row, 8192U);
}

TEST(ChunkCodec, KeepsTheEndsOfTheIntegerRange) {
  ExpectRoundTrip(OneColumn(std::vector<std::int64_t>{
      kMin, kMax, kMin, 0, -1, 1, kMax, kMax, kMin, kMin}));
}

TEST(ChunkCodec, KeepsEveryBitOfOddDoubles) {
  const double payload = std::bit_cast<double>(0xfff0000000000abcU);
  const double inf = std::numeric_limits<double>::infinity();
  ExpectRoundTrip(OneColumn(std::vector<double>{
      -0.0, 0.0, payload, inf, -inf, std::numeric_limits<double>::denorm_min(),
      std::numeric_limits<double>::max(), std::nan(""), 0.1}));
  ExpectRoundTrip(OneColumn(std::vector<double>{-0.0}));
  ExpectRoundTrip(OneColumn(std::vector<double>{1.5, -0.0, 2.25}));
}

TEST(ChunkCodec, KeepsAnyBlockBitForBit) {
  std::mt19937_64 random(20240611);
  for (int i = 0; i < 400; ++i) {
    const RawBlock block = RandomBlock(random, i % 40 == 0 ? 9000 : 70);
    ASSERT_NO_FATAL_FAILURE(ExpectRoundTrip(block)) << "block " << i;
  }
}

TEST(ChunkCodec, KeepsTheHostTimeOfEachArrival) {
  RawChunk chunk = ChunkOf(SteadyBlock(0, 5));
  chunk.arrivals = {{2, 1.75e9}, {3, 1.75e9 + 0.25}};
  ChunkCodec codec;
  const auto packed = codec.Pack(chunk);
  ASSERT_TRUE(packed);
  const auto back = codec.Unpack(packed->bytes, packed->sha256);
  ASSERT_TRUE(back);
  ASSERT_EQ(back->arrivals.size(), 2U);
  EXPECT_EQ(back->arrivals[0].rows, 2U);
  EXPECT_EQ(back->arrivals[1].host_time_s, 1.75e9 + 0.25);
  EXPECT_EQ(back->block.host_time_s, 1.75e9 + 0.25);
}

// Head of 4 bytes and the seeds are all that a steady column takes.
TEST(ColumnCodec, NeedsNoBytesForRowsThatFollowARule) {
  std::vector<std::int64_t> counter(1000);
  std::vector<double> seconds(1000);
  for (std::size_t i = 0; i < counter.size(); ++i) {
    counter[i] = 77 + 1000 * static_cast<std::int64_t>(i);
    seconds[i] = static_cast<double>(i) / 1000.0;
  }
  EXPECT_EQ(Encoded(counter).size(), 4U + 16U);
  EXPECT_EQ(Encoded(seconds).size(), 4U + 16U);
  EXPECT_EQ(Encoded(std::vector<std::int64_t>(1000, 5)).size(), 4U + 8U);
}

// By hand from docs/formats/logbook.md: 300, 301, 299 as differences +1, -2,
// mapped to 2 and 3, one plane.
TEST(ColumnCodec, WritesTheBytesThatTheFormatsPageGives) {
  const std::vector<std::int64_t> values(64, 300);
  std::vector<std::int64_t> steps = values;
  steps[1] = 301;
  steps[2] = 299;
  steps[3] = 299;
  Bytes expected = {0, 0, 1, 1, 0x2c, 0x01, 0, 0, 0, 0, 0, 0, 2, 3, 0, 2};
  expected.resize(12 + 63, 0);
  EXPECT_EQ(Encoded(steps), expected);
}

TEST(ChunkCodec, RefusesEveryContentThatIsCutShortOrTooLong) {
  Bytes content;
  WriteContent(ChunkOf(SteadyBlock(0, 40)), content);
  ASSERT_TRUE(ReadContent(content));
  for (std::size_t size = 0; size < content.size(); ++size) {
    EXPECT_FALSE(ReadContent(std::span(content).first(size))) << size;
  }
  content.push_back(0);
  EXPECT_FALSE(ReadContent(content));
}

TEST(ChunkCodec, RefusesHeadersThatAskForTooMuch) {
  Bytes content;
  WriteContent(ChunkOf(SteadyBlock(0, 40)), content);
  Bytes huge = content;
  huge[7] = 0xff;  // rows: four thousand million
  EXPECT_FALSE(ReadContent(huge));
  Bytes wide = content;
  wide[31] = 0x7f;  // columns
  EXPECT_FALSE(ReadContent(wide));
  Bytes unknown = content;
  unknown[44] = 12;  // role of the first column
  EXPECT_FALSE(ReadContent(unknown));
}

TEST(ChunkCodec, FindsAnyFlippedBit) {
  ChunkCodec codec;
  const auto packed = codec.Pack(ChunkOf(SteadyBlock(0, 40)));
  ASSERT_TRUE(packed);
  for (std::size_t i = 0; i < packed->bytes.size() * 8; ++i) {
    Bytes bad = packed->bytes;
    bad[i / 8] ^= static_cast<std::uint8_t>(1U << (i % 8));
    const auto back = codec.Unpack(bad, packed->sha256);
    // A flip in what zstd ignores may leave the content as it was.
    if (back) {
      EXPECT_TRUE(SameBits(back->block, SteadyBlock(0, 40))) << i;
    }
  }
  Sha256 sha = packed->sha256;
  sha[31] ^= 1;
  const auto back = codec.Unpack(packed->bytes, sha);
  ASSERT_FALSE(back);
  EXPECT_EQ(back.error().what, "its SHA-256 does not match its content");
}

// --- frozen bytes ---

// Every kind of column that version 1 writes, with orders 0, 1 and 2.
RawChunk FrozenChunk() {
  RawChunk chunk;
  chunk.capture = 2;
  chunk.first_row = 500;
  chunk.arrivals = {{3, 1.75e9}, {5, 1.75e9 + 0.125}};
  RawBlock& block = chunk.block;
  block.rows = 8;
  block.host_time_s = 1.75e9 + 0.125;
  block.layout = {{Role::kSequence, -1}, {Role::kTimeUs, -1},
                  {Role::kTimeS, -1},    {Role::kChannel, 0},
                  {Role::kChannel, 1},   {Role::kTemperatureC, -1},
                  {Role::kSupplyMv, -1}};
  block.columns = {
      std::vector<std::int64_t>{70000, 70001, 70002, 70003, 70004, 70005, 70006,
                                70007},
      std::vector<std::int64_t>{1000000, 1001000, 1002000, 1003001, 1004001,
                                1005001, 1006001, 1007001},
      std::vector<double>{0.5, 0.501, 0.502, 0.503, 0.504, 0.505, 0.506, 0.507},
      std::vector<std::int64_t>{-8388608, 8388607, -1, 0, 12, 11, -300, 7},
      std::vector<std::int64_t>{kMin, kMax, 0, kMin, -5, 1, kMax, kMax},
      std::vector<double>{-0.0, std::bit_cast<double>(0x7ff8000000000123U),
                          21.25, 1.0 / 3.0, 5e-324, 21.5, 21.5, 21.75},
      std::vector<double>{3700.5, 3700.5, 3700.25, 3699.0, 3700.0, 3700.0,
                          3700.0, 3700.5}};
  return chunk;
}

std::string GoldenFile(const std::string& name) {
  return std::string(MASSETER_SOURCE_DIR) + "/tests/golden/" + name;
}

Bytes GoldenBytes(const std::string& name) {
  const std::string text = ReadBytes(GoldenFile(name));
  return {text.begin(), text.end()};
}

TEST(ChunkCodec, StillWritesTheFrozenContent) {
  Bytes content;
  WriteContent(FrozenChunk(), content);
  EXPECT_EQ(content, GoldenBytes("logbook_chunk_v1.content"))
      << "a change of the coding needs a new kChunkCodecVersion";
}

TEST(ChunkCodec, StillReadsAChunkThatVersion1Packed) {
  ChunkCodec codec;
  const Bytes sha = GoldenBytes("logbook_chunk_v1.sha256");
  const auto back = codec.Unpack(GoldenBytes("logbook_chunk_v1.zst"), sha);
  ASSERT_TRUE(back) << back.error().what;
  const RawChunk frozen = FrozenChunk();
  EXPECT_TRUE(SameBits(back->block, frozen.block));
  EXPECT_EQ(back->capture, frozen.capture);
  EXPECT_EQ(back->first_row, frozen.first_row);
  ASSERT_EQ(back->arrivals.size(), 2U);
  EXPECT_EQ(back->arrivals[0].rows, 3U);
  EXPECT_EQ(back->arrivals[0].host_time_s, 1.75e9);
}

}  // namespace
}  // namespace masseter
