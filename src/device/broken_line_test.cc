#include <gtest/gtest.h>

#include <cstdint>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "device/intake_testing.h"

namespace masseter {
namespace {

struct Case {
  std::string line;
  std::string why;
};

TEST(BrokenLine, IsCountedSkippedAndExplained) {
  const std::vector<Case> cases = {
      {"1,2", "2 fields, 3 expected"},
      {"1", "1 field, 3 expected"},
      {"1,2,3,4", "4 fields, 3 expected"},
      {"1,2,3,,", "4 fields, 3 expected"},
      {"1,2,34,5,6", "5 fields, 3 expected"},
      {"1,,3", "c1 is empty"},
      {",2,3", "t_us is empty"},
      {",,,", "t_us is empty"},
      {"1,1o2,3", "c1 is not a number: \"1o2\""},
      {"1,2 5,3", "c1 is not a number: \"2 5\""},
      {"1,2,-", "c2 is not a number: \"-\""},
      {"1,2,+-3", "c2 is not a number: \"+-3\""},
      {"1,2,--3", "c2 is not a number: \"--3\""},
      {"1,2,0x1F", "c2 is not a number: \"0x1F\""},
      {"1,2,1.2.3", "c2 is not a number: \"1.2.3\""},
      {"1,2,1e", "c2 is not a number: \"1e\""},
      {"1,2,.", "c2 is not a number: \".\""},
      {"1,2,3V", "c2 is not a number: \"3V\""},
      {"1,nan,3", "c1 is not finite: \"nan\""},
      {"1,2,-inf", "c2 is not finite: \"-inf\""},
      {"1,2,ovf", "c2 is not a number: \"ovf\""},
      {"9223372036854775808,2,3",
       "t_us is beyond 64 bits: \"9223372036854775808\""},
      {"1,-9223372036854775809,3",
       "c1 is beyond 64 bits: \"-9223372036854775809\""},
      {"1,2,1e999", "c2 is out of range: \"1e999\""},
      {"1,2,33333333333333333333333333333333333",
       "c2 is beyond 64 bits: \"33333333333333333333333333333333...\""},
      {"brownout detector was triggered", "1 field, 3 expected"},
      {"loose, cable, again", "t_us is not a number: \"loose\""},
      {"1,2,\xC3\xBC", "c2 is not a number: \"\xC3\xBC\""},
      {"1,2,\xFF\x80", "c2 is not a number: \"\\xff\\x80\""},
      {std::string("1,2,3\0", 6), "not text: \"1,2,3\\x00\""},
      {"\x01\x02\x7F", "not text: \"\\x01\\x02\\x7f\""},
      {std::string(90, '\x01'),
       "not text: \"\\x01\\x01\\x01\\x01\\x01\\x01\\x01\\x01\\x01\\x01...\""},
      {std::string(4097, '1'), "longer than 4096 bytes"},
      {std::string(1000000, ','), "longer than 4096 bytes"},
  };
  for (const Case& c : cases) {
    const Taken taken = Take(TwoCells(), "1,2,3\n" + c.line + "\n4,5,6\n");
    ASSERT_TRUE(taken.end) << c.why;
    EXPECT_EQ(taken.OnlyFault(), c.why);
    EXPECT_EQ(taken.report.first_broken.at(0).line, 2u) << c.why;
    EXPECT_EQ(taken.Values(2), (std::vector<double>{3, 6})) << c.why;
  }
}

TEST(BrokenLine, IsExplainedForDecimalCommasToo) {
  const std::vector<Case> cases = {
      {"1;1.234,5;3", "c1 is not a number: \"1.234,5\""},
      {"1;1,234,5;3", "c1 is not a number: \"1,234,5\""},
      {"1;1,234.5;3", "c1 is not a number: \"1,234.5\""},
      {"1;,;3", "c1 is not a number: \",\""},
      {"1,2,3", "1 field, 3 expected"},
  };
  for (const Case& c : cases) {
    EXPECT_EQ(Take(TwoCells(';'), "1;2;3\n" + c.line + "\n").OnlyFault(),
              c.why);
  }
}

TEST(BrokenLine, IsKeptForTheFirst20OnlyAndCountedForAll) {
  std::string text = "1,2,3\n";
  for (int i = 0; i < 1000; ++i) text += "x\n";
  const Taken taken = Take(TwoCells(), text);
  EXPECT_EQ(taken.report.broken, 1000u);
  ASSERT_EQ(taken.report.first_broken.size(), 20u);
  EXPECT_EQ(taken.report.first_broken.back().line, 21u);
}

// A line of 4096 bytes is the longest that is read.
TEST(BrokenLine, BeginsOneByteAboveTheLongestLine) {
  const std::string line = "1,2," + std::string(4091, ' ') + "3";
  ASSERT_EQ(line.size(), 4096u);
  EXPECT_EQ(Take(TwoCells(), line + "\r\n").report.rows, 1u);
  EXPECT_EQ(Take(TwoCells(), "1,2,3\n " + line + "\r\n").OnlyFault(),
            "longer than 4096 bytes");
}

// Text in which every kind of line and line end occurs.
const char* const kEverything[] = {
    "\xEF\xBB\xBFt_us,c1,c2\r\n1,2,3\r\n# x\r\n\r4,5.5,6\n\n7,8\r9,10,11\r\n"
    "t_us,c1,c2\n1,-2,3e0\n\xFF\xFE\r\n12,13,14",
    "boot\n1;2;3\n4;5,5;6\r\n7;8;9\r10;11;12\n",
    "1 2 3\n4 5 6\r\n\r\n7 8 9",
    "\r\n\r\n\r\r\n\n1,2,3\r",
};

void ExpectSame(const Taken& a, const Taken& b) {
  EXPECT_EQ(a.blocks, b.blocks);
  EXPECT_EQ(a.report.lines, b.report.lines);
  EXPECT_EQ(a.report.rows, b.report.rows);
  EXPECT_EQ(a.report.broken, b.report.broken);
  EXPECT_EQ(a.report.headers, b.report.headers);
  EXPECT_EQ(a.report.warnings, b.report.warnings);
  ASSERT_EQ(a.report.first_broken.size(), b.report.first_broken.size());
  for (std::size_t i = 0; i < a.report.first_broken.size(); ++i) {
    EXPECT_EQ(a.report.first_broken[i].why, b.report.first_broken[i].why);
    EXPECT_EQ(a.report.first_broken[i].line, b.report.first_broken[i].line);
  }
}

TEST(Splitting, GivesTheSameBlocksForPiecesOfEverySize) {
  for (const std::string text : kEverything) {
    const Taken whole = Take(TwoCells(), text, 2);
    EXPECT_GT(whole.report.rows, 0u);
    for (std::size_t piece = 1; piece <= text.size(); ++piece) {
      SCOPED_TRACE("pieces of " + std::to_string(piece));
      ExpectSame(whole, Take(TwoCells(), text, 2, piece));
    }
  }
}

TEST(Splitting, GivesTheSameBlocksForTwoPiecesCutAnywhere) {
  for (const std::string text : kEverything) {
    const Taken whole = Take(TwoCells(), text, 2);
    for (std::size_t cut = 0; cut <= text.size(); ++cut) {
      SCOPED_TRACE("cut at " + std::to_string(cut));
      Taken taken;
      TextIntake intake(TwoCells(), 2,
                        [&](const RawBlock& b) -> Expected<void> {
                          taken.blocks.push_back(b);
                          return {};
                        });
      ASSERT_TRUE(intake.Push(std::span(text).first(cut)));
      ASSERT_TRUE(intake.Push({}));
      ASSERT_TRUE(intake.Push(std::span(text).subspan(cut)));
      ASSERT_TRUE(intake.Finish());
      taken.report = intake.report();
      ExpectSame(whole, taken);
    }
  }
}

TEST(Splitting, GivesBackRandomNumbersPrintedAnyWay) {
  std::mt19937_64 random(1);
  for (int round = 0; round < 200; ++round) {
    const char separator = ",;\t "[random() % 4];
    const std::string end =
        std::vector<std::string>{"\n", "\r\n", "\r"}[random() % 3];
    std::vector<double> sent;
    std::string text;
    for (int row = 0; row < 50; ++row) {
      for (int column = 0; column < 3; ++column) {
        const std::int64_t value =
            static_cast<std::int64_t>(random()) >> (random() % 64);
        if (column == 1) sent.push_back(static_cast<double>(value));
        text += std::string(random() % 3, ' ') + std::to_string(value);
        if (column < 2) text += separator;
      }
      text += end;
    }
    const Taken taken =
        Take(TwoCells(separator), text, 1 + random() % 60, 1 + random() % 99);
    ASSERT_TRUE(taken.end);
    EXPECT_EQ(taken.report.broken, 0u);
    EXPECT_EQ(taken.Values(1), sent);
  }
}

}  // namespace
}  // namespace masseter
