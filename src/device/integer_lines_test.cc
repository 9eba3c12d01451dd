#include "device/integer_lines.h"

#include <gtest/gtest.h>

#include <array>
#include <random>
#include <string>

#include "device/intake_testing.h"

namespace masseter {
namespace {

// Pieces of 40 bytes are too short to be read ahead.
void ExpectTheSameInSmallPieces(const Rig& rig, const std::string& text) {
  const Taken whole = Take(rig, text, 100);
  const Taken small = Take(rig, text, 100, 40);
  ASSERT_TRUE(whole.end);
  EXPECT_EQ(whole.blocks, small.blocks);
  EXPECT_EQ(whole.report.lines, small.report.lines);
  EXPECT_EQ(whole.report.rows, small.report.rows);
  EXPECT_EQ(whole.report.broken, small.report.broken);
  EXPECT_EQ(whole.report.headers, small.report.headers);
  ASSERT_EQ(whole.report.first_broken.size(), small.report.first_broken.size());
  for (std::size_t i = 0; i < whole.report.first_broken.size(); ++i) {
    EXPECT_EQ(whole.report.first_broken[i].line,
              small.report.first_broken[i].line);
    EXPECT_EQ(whole.report.first_broken[i].why,
              small.report.first_broken[i].why);
  }
}

std::string RandomNumber(std::mt19937& random) {
  std::string out = random() % 3 == 0 ? "-" : "";
  for (auto digits = 1 + random() % 16; digits > 0; --digits) {
    out += static_cast<char>('0' + random() % 10);
  }
  return out;
}

std::string RandomLines(std::size_t lines, std::size_t fields, char separator,
                        unsigned seed) {
  std::mt19937 random(seed);
  std::string out;
  for (std::size_t i = 0; i < lines; ++i) {
    for (std::size_t f = 0; f < fields; ++f) {
      if (f > 0) out += separator;
      out += RandomNumber(random);
    }
    out += random() % 5 == 0 ? "\r\n" : "\n";
  }
  return out;
}

TEST(IntegerLines, ReadsWhatTheOrdinaryReaderReads) {
  for (const char separator : {',', ';', '\t'}) {
    ExpectTheSameInSmallPieces(FourCells(separator),
                               RandomLines(3000, 7, separator, 1));
  }
  ExpectTheSameInSmallPieces(MakeRig(',', {"c1"}, {"c1"}),
                             RandomLines(3000, 1, ',', 2));
}

TEST(IntegerLines, LeavesEveryOtherLineToTheOrdinaryReader) {
  std::mt19937 random(3);
  const std::array<std::string, 18> kOdd = {
      "1,2,3,4,5,6,7,8\n",
      "1,2,3\n",
      "1,2,3,4,5,6,\n",
      "1,2,3,,5,6,7\n",
      "1,2,-,4,5,6,7\n",
      "1,2,+3,4,5,6,7\n",
      "1,2, 3,4,5,6,7\n",
      "1,2,3.5,4,5,6,7\n",
      "1,2,3-4,4,5,6,7\n",
      "\n",
      "# 1,2,3,4,5,6,7\n",
      "1,2,3,4,5,6,7\r1,2,3,4,5,6,8\n",
      "1,2,3:,4,5,6,7\n",
      "1,2,3\xff,4,5,6,7\n",
      "1,2,12345678901234567890,4,5,6,7\n",
      "1,2,12345678901234567,4,5,6,7\n",
      "seq,t_us,c1,c2,c3,c4,supply_mv\n",
      "-0,2,3,4,5,6,-00000007\n"};
  std::string text = RandomLines(20, 7, ',', 4);
  for (unsigned i = 0; i < 400; ++i) {
    text += RandomLines(random() % 12, 7, ',', 5 + i);
    text += kOdd[random() % kOdd.size()];
  }
  ExpectTheSameInSmallPieces(FourCells(), text + "1,2,3,4,5,6,7");
}

TEST(IntegerLines, StopsWhereItIsTold) {
  const std::string text = "8 bytes\n" + std::string(40, '\n');
  const std::string lines = text + RandomLines(100, 2, ',', 9);
  std::array<std::array<std::int64_t, 10>, 2> values{};
  const std::array<std::int64_t*, 2> targets = {values[0].data(),
                                                values[1].data()};
  IntegerLines reader;
  const LinesRead read = reader.Read(lines, text.size(), ',', targets, 10);
  EXPECT_EQ(read.rows, 10u);
  EXPECT_EQ(lines[read.end - 1], '\n');
  EXPECT_EQ(reader.Read(lines, text.size(), ',', targets, 0).rows, 0u);
  EXPECT_EQ(reader.Read(lines, 3, ',', targets, 10).rows, 0u);
  EXPECT_EQ(reader.Read(lines, lines.size(), ',', targets, 10).rows, 0u);
}

}  // namespace
}  // namespace masseter
