#include "report/text_table.h"

#include <gtest/gtest.h>

#include <limits>

namespace masseter {
namespace {

constexpr float kNan = std::numeric_limits<float>::quiet_NaN();

TextTable Peaks() {
  TextTable table;
  table.AddColumn("bite", Align::kRight);
  table.AddColumn("dog", Align::kLeft);
  table.AddColumn("peak", Align::kPoint);
  table.AddColumn("verdict", Align::kLeft);
  table.AddRow({"1", "Brisk", "743.1 ± 6.2 N", "sound"});
  table.AddRow({"12", "Žofka", "95.25 ± 0.41 N", "sound"});
  table.AddRow({"3", "犬", "≥ 812 N", "at least"});
  table.AddRow({"4", "", "no figure", "void"});
  return table;
}

TEST(TextTable, AlignsOnTheDecimalPoint) {
  EXPECT_EQ(Peaks().Text(),
            "bite  dog                 peak  verdict\n"
            "────  ─────  ─────────────────  ────────\n"
            "   1  Brisk    743.1 ± 6.2 N    sound\n"
            "  12  Žofka     95.25 ± 0.41 N  sound\n"
            "   3  犬     ≥ 812 N            at least\n"
            "   4         no figure          void\n");
}

TEST(TextTable, SpellsItsSignsInAscii) {
  const std::string text = Peaks().Text(false);
  EXPECT_NE(text.find("743.1 +/- 6.2 N"), std::string::npos);
  EXPECT_NE(text.find(">= 812 N"), std::string::npos);
  EXPECT_NE(text.find("?ofka"), std::string::npos);
  for (const char c : text) EXPECT_LT(static_cast<unsigned char>(c), 0x80);
}

TEST(TextTable, LetsNoCellSteerTheTerminalOrBreakTheLine) {
  EXPECT_EQ(TerminalText("a\x1b[2J\nb\x7f", true), "a?[2J?b?");
  EXPECT_EQ(TerminalText("a\u009b31m", true), "a?31m");
}

TEST(TextTable, CutsLongCellsWithAnEllipsis) {
  TextTable table;
  table.AddColumn("dog", Align::kLeft, 6);
  table.AddRow({"Brisk of the meadow"});
  EXPECT_EQ(table.Text(), "dog\n──────\nBrisk…\n");
}

TEST(TextTable, TakesRowsThatAreTooShortOrTooLong) {
  TextTable table;
  table.AddColumn("a", Align::kLeft);
  table.AddColumn("b", Align::kLeft);
  table.AddRow({"1"});
  table.AddRow({"1", "2", "3"});
  EXPECT_EQ(table.Text(false), "a  b\n-  -\n1\n1  2\n");
}

TEST(SparkLine, ShadesMissingSamples) {
  const std::vector<float> heights = {0.0F, 0.5F, 1.0F, kNan, 2.0F, -1.0F};
  EXPECT_EQ(SparkLine(heights, true), "▁▅█░█▁");
  EXPECT_EQ(SparkLine(heights, false), "_=#?#_");
}

TEST(SparkHeights, KeepTheHighestAndShowAGap) {
  const TraceColumns trace = {
      0.0, 0.1, {}, {1, 2, 8, 1, kNan, kNan, 4, kNan, 3, 2}};
  const std::vector<float> heights = SparkHeights(trace, 5);
  ASSERT_EQ(heights.size(), 5u);
  EXPECT_EQ(heights[0], 0.25F);
  EXPECT_EQ(heights[1], 1.0F);
  EXPECT_NE(heights[2], heights[2]);
  EXPECT_NE(heights[3], heights[3]);
  EXPECT_EQ(SparkHeights({}, 5).size(), 0u);
  EXPECT_EQ(SparkHeights(trace, 100).size(), 10u);
}

}  // namespace
}  // namespace masseter
