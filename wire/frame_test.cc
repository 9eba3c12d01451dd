#include "wire/frame.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <numeric>

#include "wire/cobs.h"
#include "wire/crc32c.h"
#include "wire/golden_testing.h"
#include "wire/message.h"

namespace masseter {
namespace {

using Bytes = std::vector<std::uint8_t>;

struct Reader {
  std::uint8_t buffer[WIRE_COBS_ROOM(WIRE_MOST_BYTES)];
  wire_reader reader{buffer, sizeof buffer, 0, false, nullptr, 0};
  int frames = 0;
  int broken = 0;
  Bytes last;

  void Push(const Bytes& bytes) {
    for (const std::uint8_t byte : bytes) {
      const wire_got got = wire_take(&reader, byte);
      if (got == WIRE_BROKEN) ++broken;
      if (got != WIRE_FRAME) continue;
      ++frames;
      last.assign(reader.frame, reader.frame + reader.size);
    }
  }
};

Bytes Encoded(const Bytes& raw) {
  Bytes out(WIRE_COBS_ROOM(raw.size()));
  out.resize(wire_cobs_encode(raw.data(), raw.size(), out.data()));
  return out;
}

TEST(Crc32c, HasTheCheckValueOfItsDefinition) {
  // RFC 3720, B.4, lists the iSCSI vectors; "123456789" is the check value of
  // the polynomial's entry in catalogues of check sums.
  const std::string digits = "123456789";
  const auto* bytes = reinterpret_cast<const std::uint8_t*>(digits.data());
  EXPECT_EQ(wire_crc32c(0, bytes, 9), 0xE3069283u);
  EXPECT_EQ(wire_crc32c(wire_crc32c(0, bytes, 4), bytes + 4, 5), 0xE3069283u);
  EXPECT_EQ(wire_crc32c(0, Bytes(32, 0).data(), 32), 0x8A9136AAu);
  EXPECT_EQ(wire_crc32c(0, Bytes(32, 0xFF).data(), 32), 0x62A8AB43u);
  Bytes rising(32);
  std::iota(rising.begin(), rising.end(), std::uint8_t{0});
  EXPECT_EQ(wire_crc32c(0, rising.data(), 32), 0x46DD794Eu);
}

TEST(Cobs, EncodesThePublishedExamples) {
  // Cheshire and Baker 1999, and the usual table of short examples made from
  // their rules (from memory).
  EXPECT_EQ(Encoded({0}), (Bytes{1, 1}));
  EXPECT_EQ(Encoded({0, 0}), (Bytes{1, 1, 1}));
  EXPECT_EQ(Encoded({0x11, 0x22, 0, 0x33}), (Bytes{3, 0x11, 0x22, 2, 0x33}));
  EXPECT_EQ(Encoded({0x11, 0, 0, 0}), (Bytes{2, 0x11, 1, 1, 1}));
  Bytes run(254);
  std::iota(run.begin(), run.end(), std::uint8_t{1});
  Bytes expected = run;
  expected.insert(expected.begin(), 0xFF);
  EXPECT_EQ(Encoded(run), expected);
  run.push_back(0xFF);
  expected.push_back(2);
  expected.push_back(0xFF);
  EXPECT_EQ(Encoded(run), expected);
}

TEST(Cobs, GivesBackWhatWentInAroundTheLengthsOfItsRuns) {
  for (std::size_t size = 1; size < 770; ++size) {
    for (const std::size_t zero_every : {1u, 3u, 254u, 255u, 1000u}) {
      Bytes raw(size);
      for (std::size_t i = 0; i < size; ++i) {
        raw[i] = static_cast<std::uint8_t>(
            i % zero_every == zero_every - 1 ? 0 : 1 + i % 255);
      }
      Bytes coded = Encoded(raw);
      ASSERT_EQ(std::count(coded.begin(), coded.end(), 0), 0);
      coded.resize(wire_cobs_decode(coded.data(), coded.size()));
      ASSERT_EQ(coded, raw) << size << " " << zero_every;
    }
  }
}

TEST(Cobs, RefusesACodeThatPointsBeyondTheEnd) {
  Bytes cut = {5, 1, 2, 3};
  EXPECT_EQ(wire_cobs_decode(cut.data(), cut.size()), 0u);
}

TEST(Frame, GoldenSamplesSayWhatTheirFileSays) {
  const GoldenVector golden = ReadGolden("samples_24bit");
  Reader reader;
  reader.Push(golden.wire);
  ASSERT_EQ(reader.frames, 1);
  wire_samples head;
  ASSERT_TRUE(wire_get_samples(reader.last.data(), reader.last.size(), &head));
  EXPECT_EQ(head.boot, 7u);
  EXPECT_EQ(head.first_seq, 1000u);
  EXPECT_EQ(head.oldest_seq, 900u);
  EXPECT_EQ(head.t_us, 2000000u);
  EXPECT_EQ(head.supply_mv, 4102);
  EXPECT_EQ(head.count, 2);
  std::int32_t counts[WIRE_MOST_CHANNELS];
  EXPECT_EQ(wire_get_sample(reader.last.data(), &head, 1, counts), 2001000u);
  EXPECT_EQ(counts[0], 8391);
  EXPECT_EQ(counts[1], -118);
  EXPECT_EQ(counts[2], 457);
  EXPECT_EQ(counts[3], 1021);
}

TEST(Frame, GoldenHelloSaysWhatItsFileSays) {
  const GoldenVector golden = ReadGolden("hello");
  const std::uint8_t* cbor = nullptr;
  std::size_t size = 0;
  ASSERT_TRUE(
      wire_get_message(golden.raw.data(), golden.raw.size(), &cbor, &size));
  wire_message m;
  ASSERT_TRUE(wire_read_message(cbor, size, &m));
  EXPECT_EQ(m.kind, WIRE_HELLO);
  EXPECT_EQ(m.lowest_version, 1u);
  EXPECT_EQ(m.highest_version, 1u);
  EXPECT_EQ(m.boot, 7u);
  EXPECT_EQ(std::string(m.name.text, m.name.size), "left sleeve");
  ASSERT_EQ(m.channels, 4);
  EXPECT_EQ(std::string(m.channel[3].text, m.channel[3].size), "c4");
  EXPECT_EQ(m.rate_mhz, 1000000u);
  EXPECT_EQ(m.ring, 5000u);
  EXPECT_EQ(m.brownouts, 3u);
}

TEST(Frame, AMessageWithKeysOfALaterVersionIsRead) {
  // {0: 2, 99: {"a": [1, {}]}, 8: 3700}
  const Bytes cbor = HexBytes("a3 00 02 18 63 a1 61 61 82 01 a0 08 19 0e 74");
  wire_message m;
  ASSERT_TRUE(wire_read_message(cbor.data(), cbor.size(), &m));
  EXPECT_EQ(m.kind, WIRE_STATUS);
  EXPECT_EQ(m.supply_mv, 3700u);
}

TEST(Frame, EveryWrongBitIsFound) {
  // A check sum of 32 bits finds each single-bit error, wherever it is.
  const GoldenVector golden = ReadGolden("samples_24bit");
  for (std::size_t i = 1; i + 1 < golden.wire.size(); ++i) {
    for (int bit = 0; bit < 8; ++bit) {
      Bytes hurt = golden.wire;
      hurt[i] = static_cast<std::uint8_t>(hurt[i] ^ (1 << bit));
      Reader reader;
      reader.Push(hurt);
      ASSERT_EQ(reader.frames, 0) << i << " " << bit;
      ASSERT_GE(reader.broken, 1);
    }
  }
}

TEST(Frame, TheNextFrameIsReadAfterABrokenAndAnEndlessOne) {
  const GoldenVector golden = ReadGolden("ack");
  Reader reader;
  reader.Push(Bytes(5000, 0x55));
  reader.Push(golden.wire);
  reader.Push({1, 2, 3, 0});
  reader.Push(golden.wire);
  EXPECT_EQ(reader.frames, 2);
  EXPECT_EQ(reader.broken, 2);
  EXPECT_EQ(reader.last, golden.raw);
}

TEST(Frame, AHeadThatPromisesOtherSamplesThanFollowIsRefused) {
  Bytes raw = ReadGolden("samples_24bit").raw;
  wire_samples head;
  raw[31] = 3;  // count
  EXPECT_FALSE(wire_get_samples(raw.data(), raw.size(), &head));
  raw[31] = 2;
  raw[30] = 17;  // channels
  EXPECT_FALSE(wire_get_samples(raw.data(), raw.size(), &head));
  raw[30] = 4;
  raw[1] = 2;  // version
  EXPECT_FALSE(wire_get_samples(raw.data(), raw.size(), &head));
  raw[1] = 1;
  EXPECT_TRUE(wire_get_samples(raw.data(), raw.size(), &head));
}

TEST(Frame, CountsBeyond24BitsStopAtTheEndOfTheRange) {
  wire_samples head{};
  head.channels = 2;
  head.count = 1;
  const std::int32_t wild[] = {2000000000, -2000000000};
  Bytes raw(WIRE_SAMPLES_HEAD + 6);
  wire_put_samples_head(raw.data(), &head);
  ASSERT_EQ(wire_put_sample(raw.data() + WIRE_SAMPLES_HEAD, &head, 0, wild),
            6u);
  std::int32_t counts[WIRE_MOST_CHANNELS];
  wire_get_sample(raw.data(), &head, 0, counts);
  EXPECT_EQ(counts[0], 8388607);
  EXPECT_EQ(counts[1], -8388608);
}

}  // namespace
}  // namespace masseter
