// Expected bytes: RFC 8949, Appendix A (examples of encoded data items).
#include "wire/cbor.h"

#include <gtest/gtest.h>

#include <limits>
#include <string>

#include "wire/golden_testing.h"

namespace masseter {
namespace {

using Bytes = std::vector<std::uint8_t>;

template <class Put>
Bytes Written(Put put, std::size_t room = 200) {
  Bytes out(room);
  wire_cbor_writer w{out.data(), out.size(), 0, false};
  put(&w);
  EXPECT_FALSE(w.full);
  out.resize(w.used);
  return out;
}

wire_cbor_item Read(const Bytes& bytes) {
  wire_cbor_reader r{bytes.data(), bytes.size()};
  return wire_cbor_next(&r);
}

bool Skips(const std::string& hex) {
  const Bytes bytes = HexBytes(hex);
  wire_cbor_reader r{bytes.data(), bytes.size()};
  return wire_cbor_skip(&r) && r.left == 0;
}

TEST(Cbor, UnsignedIntegersAreThoseOfAppendixA) {
  const std::pair<std::uint64_t, const char*> kExamples[] = {
      {0, "00"},
      {1, "01"},
      {10, "0a"},
      {23, "17"},
      {24, "18 18"},
      {25, "18 19"},
      {100, "18 64"},
      {1000, "19 03 e8"},
      {1000000, "1a 00 0f 42 40"},
      {1000000000000u, "1b 00 00 00 e8 d4 a5 10 00"},
      {18446744073709551615u, "1b ff ff ff ff ff ff ff ff"}};
  for (const auto& [value, hex] : kExamples) {
    EXPECT_EQ(Written([v = value](auto* w) { wire_cbor_put_uint(w, v); }),
              HexBytes(hex));
    const wire_cbor_item item = Read(HexBytes(hex));
    EXPECT_EQ(item.kind, WIRE_CBOR_UINT) << hex;
    EXPECT_EQ(item.number, value) << hex;
  }
}

TEST(Cbor, NegativeIntegersAreThoseOfAppendixA) {
  const std::pair<std::int64_t, const char*> kExamples[] = {
      {-1, "20"}, {-10, "29"}, {-100, "38 63"}, {-1000, "39 03 e7"}};
  for (const auto& [value, hex] : kExamples) {
    EXPECT_EQ(Written([v = value](auto* w) { wire_cbor_put_int(w, v); }),
              HexBytes(hex));
    const wire_cbor_item item = Read(HexBytes(hex));
    EXPECT_EQ(item.kind, WIRE_CBOR_NEGATIVE) << hex;
    EXPECT_EQ(-1 - static_cast<std::int64_t>(item.number), value) << hex;
  }
  // -2^64, Appendix A's lowest, is read though it cannot be written here.
  const wire_cbor_item lowest = Read(HexBytes("3b ff ff ff ff ff ff ff ff"));
  EXPECT_EQ(lowest.kind, WIRE_CBOR_NEGATIVE);
  EXPECT_EQ(lowest.number, std::numeric_limits<std::uint64_t>::max());
}

TEST(Cbor, StringsAreThoseOfAppendixA) {
  EXPECT_EQ(Written([](auto* w) { wire_cbor_put_bytes(w, nullptr, 0); }),
            HexBytes("40"));
  const Bytes four = {1, 2, 3, 4};
  EXPECT_EQ(Written([&](auto* w) { wire_cbor_put_bytes(w, four.data(), 4); }),
            HexBytes("44 01 02 03 04"));
  const std::pair<std::string, const char*> kTexts[] = {
      {"", "60"},
      {"a", "61 61"},
      {"IETF", "64 49 45 54 46"},
      {"\"\\", "62 22 5c"},
      {"\xC3\xBC", "62 c3 bc"},
      {"\xE6\xB0\xB4", "63 e6 b0 b4"},
      {"\xF0\x90\x85\x91", "64 f0 90 85 91"}};
  for (const auto& [text, hex] : kTexts) {
    EXPECT_EQ(Written([&, t = text](auto* w) {
                wire_cbor_put_text(w, t.data(), t.size());
              }),
              HexBytes(hex));
    const Bytes bytes = HexBytes(hex);
    const wire_cbor_item item = Read(bytes);
    EXPECT_EQ(item.kind, WIRE_CBOR_TEXT);
    EXPECT_EQ(Bytes(item.bytes, item.bytes + item.number),
              Bytes(text.begin(), text.end()));
  }
}

TEST(Cbor, ArraysMapsAndSimpleValuesAreThoseOfAppendixA) {
  EXPECT_EQ(Written([](auto* w) { wire_cbor_put_bool(w, false); }),
            HexBytes("f4"));
  EXPECT_EQ(Written([](auto* w) { wire_cbor_put_bool(w, true); }),
            HexBytes("f5"));
  EXPECT_EQ(Written([](auto* w) { wire_cbor_put_null(w); }), HexBytes("f6"));
  EXPECT_EQ(Written([](auto* w) {
              wire_cbor_put_array(w, 25);
              for (std::uint64_t i = 1; i <= 25; ++i) wire_cbor_put_uint(w, i);
            }),
            HexBytes("98 19 01 02 03 04 05 06 07 08 09 0a 0b 0c 0d 0e 0f 10 "
                     "11 12 13 14 15 16 17 18 18 18 19"));
  EXPECT_EQ(Written([](auto* w) {  // {"a": 1, "b": [2, 3]}
              wire_cbor_put_map(w, 2);
              wire_cbor_put_text(w, "a", 1);
              wire_cbor_put_uint(w, 1);
              wire_cbor_put_text(w, "b", 1);
              wire_cbor_put_array(w, 2);
              wire_cbor_put_uint(w, 2);
              wire_cbor_put_uint(w, 3);
            }),
            HexBytes("a2 61 61 01 61 62 82 02 03"));
}

TEST(Cbor, PassesOverTheNestedExamplesOfAppendixA) {
  for (const char* hex :
       {"80", "83 01 02 03", "83 01 82 02 03 82 04 05", "a0", "a2 01 02 03 04",
        "a2 61 61 01 61 62 82 02 03", "82 61 61 a1 61 62 61 63",
        "a5 61 61 61 41 61 62 61 42 61 63 61 43 61 64 61 44 61 65 61 45"}) {
    EXPECT_TRUE(Skips(hex)) << hex;
  }
}

TEST(Cbor, RefusesWhatIsNotOfThePart) {
  for (const char* hex : {
           "c1 1a 51 4b 67 b0",             // tag 1 (Appendix A)
           "f9 3c 00",                      // 1.0
           "fb 3f f1 99 99 99 99 99 9a",    // 1.1
           "f7",                            // undefined
           "f0",                            // simple(16)
           "5f 42 01 02 43 03 04 05 ff",    // indefinite byte string
           "9f ff",                         // indefinite array
           "bf 61 61 01 ff",                // indefinite map
           "1c",                            // reserved length (section 3)
           "19 03",                         // cut off in its head
           "44 01 02 03",                   // cut off in its bytes
           "82 01",                         // cut off in its items
           "9b ff ff ff ff ff ff ff ff 00"  // more items than bytes
       }) {
    EXPECT_FALSE(Skips(hex)) << hex;
  }
}

TEST(Cbor, ReadsLongerFormsThanItWrites) {
  // RFC 8949, section 4.1: a decoder accepts them outside strict profiles.
  const wire_cbor_item item = Read(HexBytes("1b 00 00 00 00 00 00 00 0a"));
  EXPECT_EQ(item.kind, WIRE_CBOR_UINT);
  EXPECT_EQ(item.number, 10u);
}

TEST(Cbor, SaysThatTheRoomIsFullAndKeepsWithinIt) {
  Bytes out(4, 0xEE);
  wire_cbor_writer w{out.data(), 3, 0, false};
  wire_cbor_put_uint(&w, 1000000);
  EXPECT_TRUE(w.full);
  EXPECT_EQ(w.used, 3u);
  EXPECT_EQ(out[3], 0xEE);
}

}  // namespace
}  // namespace masseter
