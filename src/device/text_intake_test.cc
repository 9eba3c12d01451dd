#include "device/text_intake.h"

#include <gtest/gtest.h>

#include <clocale>
#include <cstdint>
#include <locale>
#include <string>
#include <variant>
#include <vector>

#include "device/intake_testing.h"

namespace masseter {
namespace {

using Values = std::vector<double>;

TEST(TextIntake, ReadsSamplesAsTheRigFileSays) {
  const Taken taken =
      Take(FourCells(), "1,1000,-5,6,7,8,4100\n2,2000,-6,7,8,9,4099\n");
  ASSERT_TRUE(taken.end);
  ASSERT_EQ(taken.blocks.size(), 1u);
  EXPECT_EQ(taken.blocks[0].rows, 2u);
  EXPECT_EQ(taken.blocks[0].layout, FourCells().text.columns);
  EXPECT_EQ(std::get<std::vector<std::int64_t>>(taken.blocks[0].columns[2]),
            (std::vector<std::int64_t>{-5, -6}));
  EXPECT_EQ(taken.report.rows, 2u);
  EXPECT_EQ(taken.report.lines, 2u);
  EXPECT_EQ(taken.report.broken, 0u);
  EXPECT_FALSE(taken.report.has_header);
  EXPECT_TRUE(taken.report.warnings.empty());
}

TEST(TextIntake, LetsAHeaderInTheFileWinOverTheRigFile) {
  const Taken taken =
      Take(FourCells(), "t_ms,c4,c3,c2,c1\n10,4,3,2,1\n20,8,7,6,5\n");
  ASSERT_TRUE(taken.end);
  EXPECT_TRUE(taken.report.has_header);
  EXPECT_EQ(taken.report.headers, 1u);
  const RawBlock& block = taken.blocks.at(0);
  EXPECT_EQ(block.layout.at(0).role, Role::kTimeMs);
  EXPECT_EQ(block.layout.at(1), (ColumnRole{Role::kChannel, 3}));
  EXPECT_EQ(taken.Values(1), (Values{4, 8}));
  EXPECT_EQ(taken.report.warnings,
            (std::vector<std::string>{
                "the header lacks seq, which the rig file names",
                "the header names t_ms, the rig file t_us; the header is "
                "followed",
                "the header lacks supply_mv, which the rig file names"}));
}

TEST(TextIntake, SkipsAColumnThatTheHeaderNamesAndTheRigDoesNotHave) {
  const Taken taken =
      Take(TwoCells(), "\"t_us\",\"wifi\",\"c1\",\"c2\"\n1,good,3,4\n2,,5,6\n");
  ASSERT_TRUE(taken.end);
  EXPECT_EQ(taken.blocks.at(0).columns.size(), 3u);
  EXPECT_EQ(taken.Values(1), (Values{3, 5}));
  EXPECT_EQ(taken.report.warnings,
            (std::vector<std::string>{
                "the header names \"wifi\", which the rig does not have; the "
                "column is skipped"}));
}

TEST(TextIntake, RefusesAHeaderWithoutOneOfTheChannels) {
  const Taken taken =
      Take(FourCells(), "# day\n\nseq,t_us,c1,c2,c4\n1,2,3,4,5");
  ASSERT_FALSE(taken.end);
  EXPECT_EQ(taken.end.error().kind, ErrorKind::kBadInput);
  EXPECT_EQ(taken.end.error().Text(),
            ":3: the header has no channel c3 (it names seq, t_us, c1, c2, "
            "c4)");
  EXPECT_TRUE(taken.blocks.empty());
}

TEST(TextIntake, RefusesAHeaderThatNamesAColumnTwice) {
  EXPECT_EQ(Take(TwoCells(), "c1,c2,c1\n1,2,3\n").end.error().Text(),
            ":1: the header has the name c1 twice");
}

TEST(TextIntake, KnowsAHeaderThatReturnsAfterARestart) {
  const Taken taken = Take(TwoCells(),
                           "t_us,c1,c2\n1,2,3\n9,2,3\n"
                           "rst:0x1 (POWERON_RESET),boot:0x13\n"
                           "t_us,c1,c2\n1,2,3\n");
  ASSERT_TRUE(taken.end);
  EXPECT_EQ(taken.report.rows, 3u);
  EXPECT_EQ(taken.report.headers, 2u);
  EXPECT_EQ(taken.OnlyFault(), "2 fields, 3 expected");
  EXPECT_EQ(taken.report.first_broken.at(0).line, 4u);
  EXPECT_TRUE(taken.report.warnings.empty());
}

TEST(TextIntake, FollowsALaterHeaderThatBringsTheColumnsInAnotherOrder) {
  const Taken taken =
      Take(TwoCells(), "1,2,3\nc2,c1,t_us,temp_c\n33,22,11,20\n", 1);
  ASSERT_TRUE(taken.end);
  EXPECT_EQ(taken.Values(0), (Values{1, 11}));
  EXPECT_EQ(taken.Values(1), (Values{2, 22}));
  EXPECT_EQ(taken.Values(2), (Values{3, 33}));
  EXPECT_EQ(taken.blocks.at(0).layout, taken.blocks.at(1).layout);
  EXPECT_EQ(taken.report.warnings,
            (std::vector<std::string>{"line 2: the device started again with "
                                      "other columns; followed from here"}));
}

TEST(TextIntake, DoesNotFollowALaterHeaderThatLacksAColumn) {
  const Taken taken = Take(TwoCells(), "1,2,3\nt_us,c1\n4,5,6\n");
  ASSERT_TRUE(taken.end);
  EXPECT_EQ(taken.report.rows, 2u);
  EXPECT_EQ(taken.OnlyFault(),
            "a header with no channel c2 (it names t_us, c1)");
}

TEST(TextIntake, FindsASeparatorThatTheRigFileDoesNotName) {
  const std::string lines[] = {"1;2;3\n4;5;6\n", "1\t2\t3\n4\t5\t6\n",
                               "1 2 3\n4  5 6\n", "1;2,5;3\n4;5;6\n"};
  const std::string words[] = {"semicolons", "tabs", "blanks", "semicolons"};
  for (std::size_t i = 0; i < 4; ++i) {
    const Taken taken = Take(TwoCells(','), lines[i]);
    ASSERT_TRUE(taken.end) << lines[i];
    EXPECT_EQ(taken.report.rows, 2u) << lines[i];
    EXPECT_EQ(taken.report.warnings,
              (std::vector<std::string>{
                  "the values are separated by " + words[i] +
                  ", not by commas as the rig file says; read as they are"}));
  }
  EXPECT_EQ(Take(TwoCells(' '), "1, 2, 3\n4, 5, 6\n").Values(2),
            (Values{3, 6}));
}

TEST(TextIntake, TakesTheSeparatorOfTheHeaderWithoutWaiting) {
  TextIntake intake(TwoCells(','), 1,
                    [](const RawBlock&) -> Expected<void> { return {}; });
  ASSERT_TRUE(intake.Push(std::string("t_us;c1;c2\n1;2,5;3\n")));
  EXPECT_EQ(intake.report().rows, 1u);
}

TEST(TextIntake, KeepsTheRigsSeparatorWhenOneLineReadsWithIt) {
  const Taken taken = Take(TwoCells(','), "1;2;3\n4,5,6\n7;8;9\n");
  ASSERT_TRUE(taken.end);
  EXPECT_EQ(taken.Values(0), (Values{4}));
  EXPECT_EQ(taken.report.broken, 2u);
  EXPECT_TRUE(taken.report.warnings.empty());
}

TEST(TextIntake, ToleratesBlanksAroundSeparatorsAndOneTrailingSeparator) {
  const Taken taken = Take(TwoCells(','), " 1 ,\t2,3 \n4, 5 ,6,\n7,8,9, \n");
  EXPECT_EQ(taken.Values(1), (Values{2, 5, 8}));
  const Taken blanks = Take(TwoCells(' '), "  1 \t 2   3  \n4 5 6\n");
  EXPECT_EQ(blanks.Values(2), (Values{3, 6}));
  const Taken tabs = Take(TwoCells('\t'), "1\t 2 \t3\t\n");
  EXPECT_EQ(tabs.Values(1), (Values{2}));
  EXPECT_EQ(taken.report.broken + blanks.report.broken + tabs.report.broken,
            0u);
}

TEST(TextIntake, EndsLinesAtLfCrLfAndLoneCr) {
  for (const char* text : {"1,2,3\n\n4,5,6\n", "1,2,3\r\n\r\n4,5,6\r\n",
                           "1,2,3\r\r4,5,6\r", "1,2,3\r\n\r4,5,6\n"}) {
    const Taken taken = Take(TwoCells(), text);
    EXPECT_EQ(taken.Values(2), (Values{3, 6})) << text;
    EXPECT_EQ(taken.report.lines, 3u) << text;
  }
}

TEST(TextIntake, PassesOverByteOrderMarkCommentsAndBlankLines) {
  const Taken taken = Take(TwoCells(),
                           "\xEF\xBB\xBFt_us,c1,c2\n# t_us,c2,c1\n \t\n"
                           "  #x\n1,2,3\nx\n");
  EXPECT_EQ(taken.report.rows, 1u);
  EXPECT_TRUE(taken.report.has_header);
  EXPECT_EQ(taken.report.first_broken.at(0).line, 6u);
  EXPECT_EQ(taken.report.broken, 1u);
}

TEST(TextIntake, KeepsIntegersAsIntegersUntilADecimalComes) {
  const Taken taken =
      Take(TwoCells(),
           "1,9223372036854775807,3\n2,-9223372036854775808,3.5\n"
           "3,+4,-0\n4,5,6\n",
           3);
  ASSERT_EQ(taken.blocks.size(), 2u);
  EXPECT_EQ(std::get<std::vector<std::int64_t>>(taken.blocks[0].columns[1]),
            (std::vector<std::int64_t>{INT64_MAX, INT64_MIN, 4}));
  EXPECT_EQ(std::get<std::vector<double>>(taken.blocks[0].columns[2]),
            (Values{3, 3.5, 0}));
  EXPECT_EQ(std::get<std::vector<std::int64_t>>(taken.blocks[1].columns[2]),
            (std::vector<std::int64_t>{6}));
}

TEST(TextIntake, DoesNotLetABrokenLineTurnAColumnIntoDecimals) {
  const Taken taken = Take(TwoCells(), "1,2,3\n1.5,2,x\n4,5,6\n");
  EXPECT_EQ(std::get<std::vector<std::int64_t>>(taken.blocks.at(0).columns[0]),
            (std::vector<std::int64_t>{1, 4}));
}

TEST(TextIntake, ReadsDecimalsWithExponentPlusAndBareDot) {
  EXPECT_EQ(Take(TwoCells(), "1e3,+2.5E-1,-.5\n5.,0e0,1E+2\n").Values(0),
            (Values{1000, 5}));
  EXPECT_EQ(Take(TwoCells(), "1e3,+2.5E-1,-.5\n").Values(2), (Values{-0.5}));
  // Far more digits than a double holds: the nearest one counts.
  EXPECT_EQ(Take(TwoCells(),
                 "0.1000000000000000055511151231257827021181583404541015625,"
                 "1,2\n")
                .Values(0),
            (Values{0.1}));
}

TEST(TextIntake, ReadsADecimalCommaWhereTheSeparatorIsAnother) {
  EXPECT_EQ(Take(TwoCells(';'), "1,5;-2,25;3\n").Values(1), (Values{-2.25}));
  EXPECT_EQ(Take(TwoCells(' '), "1,5 2,25 1,5e1\n").Values(2), (Values{15}));
  EXPECT_EQ(Take(TwoCells('\t'), "1,5\t2.5\t3\n").Values(1), (Values{2.5}));
}

struct CommaPunctuation : std::numpunct<char> {
  char do_decimal_point() const override { return ','; }
  char do_thousands_sep() const override { return '.'; }
  std::string do_grouping() const override { return "\3"; }
};

TEST(TextIntake, GivesTheSameInALocaleWithDecimalComma) {
  const std::string text = "1000,2.25,3\n1000.5,2,x\n9,8,7,6\n";
  const Taken before = Take(TwoCells(), text);
  const std::locale old = std::locale::global(
      std::locale(std::locale::classic(), new CommaPunctuation));
  // The C library's locale too, where one is installed.
  const std::string old_c = std::setlocale(LC_ALL, nullptr);
  for (const char* name : {"de_DE.UTF-8", "fr_FR.UTF-8", "nl_NL.UTF-8"}) {
    if (std::setlocale(LC_ALL, name)) break;
  }
  const Taken after = Take(TwoCells(), text);
  std::setlocale(LC_ALL, old_c.c_str());
  std::locale::global(old);
  EXPECT_EQ(after.Values(1), (Values{2.25}));
  EXPECT_EQ(before.blocks, after.blocks);
  EXPECT_EQ(after.report.first_broken.at(0).why, "c2 is not a number: \"x\"");
  EXPECT_EQ(after.report.first_broken.at(1).why, "4 fields, 3 expected");
}

TEST(TextIntake, CountsALastLineWithoutLineEndWhenItIsWhole) {
  EXPECT_EQ(Take(TwoCells(), "1,2,3\n4,5,6").Values(2), (Values{3, 6}));
  EXPECT_EQ(Take(TwoCells(), "1,2,3\n4,5").OnlyFault(), "2 fields, 3 expected");
}

TEST(TextIntake, DropsALastLineThatAStreamLeftTorn) {
  const Taken taken = Take(TwoCells(), "1,2,3\n4,5,61", 64, 4, 1.0e9,
                           TextIntake::LastLine::kTorn);
  ASSERT_TRUE(taken.end);
  EXPECT_EQ(taken.Values(2), (Values{3}));
  EXPECT_EQ(taken.OnlyFault(), "cut off at the end of the stream: \"4,5,61\"");
}

TEST(TextIntake, RefusesTextOfWhichTheFirst200LinesAreNoSamples) {
  std::string text = "# a comment\n";
  for (int i = 0; i < 199; ++i) text += "hello\n";
  EXPECT_TRUE(Take(TwoCells(), text + "1,2,3\n").end);
  const Taken taken = Take(TwoCells(), text + "hello\n1,2,3\n");
  ASSERT_FALSE(taken.end);
  EXPECT_EQ(taken.end.error().Text(),
            ":2: none of the first 200 lines is a sample (1 field, 3 "
            "expected)");
  EXPECT_EQ(Take(TwoCells(), "hello\n1,2\n").end.error().Text(),
            ":1: none of the lines is a sample (1 field, 3 expected)");
}

TEST(TextIntake, TakesAnEmptyInputAndOneOfCommentsForNoSamples) {
  EXPECT_TRUE(Take(TwoCells(), "").end);
  EXPECT_TRUE(Take(TwoCells(), "# nothing\n\n").end);
  EXPECT_TRUE(Take(TwoCells(), "t_us,c1,c2\n").end);
}

TEST(TextIntake, NamesTheCureForUtf16) {
  const std::string text(
      "\xFF\xFE"
      "1\0,\0"
      "2\0\n\0",
      10);
  EXPECT_EQ(Take(TwoCells(), text).end.error().Text(),
            ":1: the text is UTF-16; save it as UTF-8 and try again");
}

TEST(TextIntake, ForgivesATornHeaderAtTheStartOfALiveStream) {
  for (const char* start : {"us,c1,c2", "c1,c2", "2"}) {
    const Taken taken =
        Take(TwoCells(), std::string(start) + "\n1,2,3\n4,5,6\n", 64, 5, 1.0e9);
    ASSERT_TRUE(taken.end) << start;
    EXPECT_EQ(taken.report.rows, 2u) << start;
    EXPECT_EQ(taken.Values(2), (Values{3, 6})) << start;
  }
  // But a sleeve whose header simply has fewer columns is believed.
  const Taken fewer = Take(TwoCells(), "c1,c2\n2,3\n5,6\n", 64, 5, 1.0e9);
  ASSERT_TRUE(fewer.end);
  EXPECT_EQ(fewer.report.rows, 2u);
  EXPECT_TRUE(fewer.report.has_header);
}

TEST(TextIntake, StopsAtTheSinksErrorAndRepeatsIt) {
  int calls = 0;
  TextIntake intake(TwoCells(), 1, [&](const RawBlock&) -> Expected<void> {
    ++calls;
    return MachineFailure("day.book", "the disk is full");
  });
  EXPECT_EQ(intake.Push(std::string("1,2,3\n4,5,6\n")).error().Text(),
            "day.book: the disk is full");
  EXPECT_FALSE(intake.Push(std::string("1,2,3\n")));
  EXPECT_FALSE(intake.Flush());
  EXPECT_FALSE(intake.Finish());
  EXPECT_EQ(calls, 1);
}

TEST(TextIntake, HandsOnWhatIsThereOnFlushWithTheHostTimeOfItsLastByte) {
  std::vector<RawBlock> blocks;
  TextIntake intake(TwoCells(), 100, [&](const RawBlock& b) -> Expected<void> {
    blocks.push_back(b);
    return {};
  });
  ASSERT_TRUE(intake.Push(std::string("1,2,3\n4,"), 1000.0));
  ASSERT_TRUE(intake.Flush());
  ASSERT_TRUE(intake.Flush());
  ASSERT_TRUE(intake.Push(std::string("5,6\n"), 1001.0));
  ASSERT_TRUE(intake.Flush());
  ASSERT_EQ(blocks.size(), 2u);
  EXPECT_EQ(blocks[0].host_time_s, 1000.0);
  EXPECT_EQ(blocks[1].host_time_s, 1001.0);
  EXPECT_EQ(blocks[1].rows, 1u);
}

TEST(TextIntake, TellsARigFileWithoutColumnsThatAHeaderIsNeeded) {
  EXPECT_EQ(Take(MakeRig(',', {"c1"}, {}), "1\n2\n").end.error().Text(),
            ":1: none of the lines is a sample (no header line yet, and the "
            "rig file names no columns)");
  EXPECT_TRUE(Take(MakeRig(',', {"c1"}, {}), "c1\n1\n2\n").end);
}

}  // namespace
}  // namespace masseter
