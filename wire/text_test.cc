#include "wire/text.h"

#include <gtest/gtest.h>

#include "wire/golden_testing.h"

namespace masseter {
namespace {

TEST(WireText, SaysTheSameAsTheGoldenFrames) {
  std::size_t lines = 0;
  for (const char* name :
       {"samples_24bit", "samples_32bit", "samples_stamped"}) {
    const GoldenVector golden = ReadGolden(name);
    wire_samples head;
    ASSERT_TRUE(wire_get_samples(golden.raw.data(), golden.raw.size(), &head));
    ASSERT_EQ(golden.text.size(), head.count);
    for (std::uint8_t i = 0; i < head.count; ++i) {
      std::int32_t counts[WIRE_MOST_CHANNELS];
      char line[WIRE_TEXT_ROOM(WIRE_MOST_CHANNELS)];
      const auto t_us = wire_get_sample(golden.raw.data(), &head, i, counts);
      const std::size_t size =
          wire_text_sample(line, &head, head.first_seq + i, t_us, counts);
      EXPECT_EQ(std::string(line, size), golden.text[i] + "\n");
      ++lines;
    }
  }
  EXPECT_EQ(lines, 7u);
}

TEST(WireText, TellsGoodWrongAndMissingCheckSums) {
  const auto check = [](const std::string& line) {
    return wire_text_check(line.data(), line.size());
  };
  const std::string good = ReadGolden("samples_24bit").text.front();
  EXPECT_EQ(check(good), WIRE_TEXT_GOOD);
  std::string wrong = good;
  wrong[3] = wrong[3] == '9' ? '8' : '9';
  EXPECT_EQ(check(wrong), WIRE_TEXT_WRONG);
  EXPECT_EQ(check(good.substr(2)), WIRE_TEXT_WRONG);
  EXPECT_EQ(check(good.substr(0, good.size() - 1)), WIRE_TEXT_BARE);
  EXPECT_EQ(check("1,2,3"), WIRE_TEXT_BARE);
  EXPECT_EQ(check(""), WIRE_TEXT_BARE);
}

TEST(WireText, TheLongestLineFitsItsRoom) {
  wire_samples head{};
  head.boot = 0xFFFFFFFFu;
  head.supply_mv = 0xFFFF;
  head.channels = WIRE_MOST_CHANNELS;
  std::int32_t counts[WIRE_MOST_CHANNELS];
  for (auto& count : counts) count = INT32_MIN;
  char line[WIRE_TEXT_ROOM(WIRE_MOST_CHANNELS)];
  EXPECT_EQ(wire_text_sample(line, &head, 0xFFFFFFFFu, UINT64_MAX, counts),
            WIRE_TEXT_ROOM(WIRE_MOST_CHANNELS));
}

}  // namespace
}  // namespace masseter
