#include "device/device_intake.h"

#include <gtest/gtest.h>

#include "device/intake_testing.h"
#include "wire/golden_testing.h"

namespace masseter {
namespace {

struct Result {
  std::vector<RawBlock> blocks;
  IntakeReport report;
  bool frames = false;
  std::size_t replies = 0;
  Expected<void> end;
};

Result TakeBytes(const Rig& rig, std::string_view bytes,
                 std::size_t piece = std::string_view::npos) {
  Result result;
  DeviceIntake intake(rig, 64, [&](const RawBlock& b) -> Expected<void> {
    result.blocks.push_back(b);
    return {};
  });
  intake.SetReply([&](std::span<const std::uint8_t>) { ++result.replies; });
  while (!bytes.empty() && result.end) {
    const std::string_view part = bytes.substr(0, piece);
    result.end = intake.Push(part);
    bytes.remove_prefix(part.size());
  }
  if (result.end) result.end = intake.Finish();
  result.report = intake.report();
  result.frames = intake.frames();
  return result;
}

std::string Golden(const std::string& name) {
  const GoldenVector golden = ReadGolden(name);
  return {golden.wire.begin(), golden.wire.end()};
}

const char* const kText =
    "seq,t_us,c1,c2,c3,c4,supply_mv\n0,1000,1,2,3,4,4100\n"
    "1,2000,5,6,7,8,4100\n";

TEST(DeviceIntake, TextGivesTheRowsOfTheTextIntakeHoweverItIsCut) {
  const Taken expected = Take(FourCells(), kText);
  for (const std::size_t piece : {1u, 2u, 7u, 1000u}) {
    const Result result = TakeBytes(FourCells(), kText, piece);
    EXPECT_FALSE(result.frames);
    EXPECT_EQ(result.blocks, expected.blocks);
    EXPECT_EQ(result.report.lines, expected.report.lines);
    EXPECT_EQ(result.replies, 0u) << "a device that prints is never answered";
  }
}

TEST(DeviceIntake, FramesGiveTheSamplesOfTheGoldenVector) {
  const std::string bytes = Golden("hello") + Golden("samples_24bit");
  for (const std::size_t piece : {1u, 3u, 1000u}) {
    const Result result = TakeBytes(FourCells(), bytes, piece);
    EXPECT_TRUE(result.frames);
    ASSERT_TRUE(result.end) << result.end.error().Text();
    ASSERT_EQ(result.blocks.size(), 1u);
    using Column = std::vector<std::int64_t>;
    const auto column = [&](std::size_t c) {
      return std::get<Column>(result.blocks[0].columns[c]);
    };
    EXPECT_EQ(column(0), (Column{7, 7}));              // boot
    EXPECT_EQ(column(1), (Column{1000, 1001}));        // seq
    EXPECT_EQ(column(2), (Column{2000000, 2001000}));  // t_us
    EXPECT_EQ(column(3), (Column{8388, 8391}));
    EXPECT_EQ(column(4), (Column{-120, -118}));
    EXPECT_EQ(column(5), (Column{455, 457}));
    EXPECT_EQ(column(6), (Column{1022, 1021}));
    EXPECT_EQ(column(7), (Column{4102, 4102}));  // supply_mv
  }
}

TEST(DeviceIntake, TheNamesInTheHelloSayWhichChannelIsWhich) {
  const Rig rig = MakeRig(',', {"c4", "c3", "c2", "c1"}, {"c1", "c2"});
  const Result result =
      TakeBytes(rig, Golden("hello") + Golden("samples_24bit"));
  ASSERT_EQ(result.blocks.size(), 1u);
  // The rig's first channel is c4, which the sleeve sends last.
  EXPECT_EQ(std::get<std::vector<std::int64_t>>(result.blocks[0].columns[3])[0],
            1022);
}

TEST(DeviceIntake, FramesAreRecognisedFromTheMiddleOfOneOn) {
  const std::string whole = Golden("samples_24bit");
  for (std::size_t cut = 1; cut + 1 < whole.size(); ++cut) {
    const Result result = TakeBytes(FourCells(), whole.substr(cut) + whole);
    EXPECT_TRUE(result.frames) << cut;
    EXPECT_EQ(result.report.rows, 2u) << cut;
    EXPECT_EQ(result.report.broken, 0u) << cut;
  }
}

TEST(DeviceIntake, RubbishBeforeTextIsBrokenLinesAsEver) {
  const std::string text = std::string("\x01\x02\xFE\n") + kText;
  const Result result = TakeBytes(FourCells(), text);
  EXPECT_FALSE(result.frames);
  EXPECT_EQ(result.report.rows, 2u);
  EXPECT_EQ(result.report.broken, 1u);
}

TEST(DeviceIntake, Utf16IsStillRefusedInWords) {
  std::string text = "\xFF\xFE";
  for (const char* c = kText; *c != '\0'; ++c) text += {*c, '\0'};
  const Result result = TakeBytes(FourCells(), text);
  ASSERT_FALSE(result.end);
  EXPECT_EQ(result.end.error().what,
            "the text is UTF-16; save it as UTF-8 and try again");
}

TEST(DeviceIntake, AnEmptyStreamIsAnEmptyText) {
  const Result result = TakeBytes(FourCells(), "");
  EXPECT_TRUE(result.end);
  EXPECT_EQ(result.report.lines, 0u);
}

// wire/golden: the text form of frames.
std::string SummedText() {
  std::string text;
  for (const std::string& line : ReadGolden("samples_24bit").text) {
    text += line + "\n";
  }
  return text;
}

Rig BootedCells() {
  return MakeRig(',', {"c1", "c2", "c3", "c4"},
                 {"boot", "seq", "t_us", "c1", "c2", "c3", "c4", "supply_mv"});
}

TEST(TextIntake, TheTextFormOfFramesGivesTheSameRows) {
  const Result frames = TakeBytes(FourCells(), Golden("samples_24bit"));
  const Taken text = Take(BootedCells(), SummedText());
  ASSERT_TRUE(text.end);
  EXPECT_EQ(text.blocks, frames.blocks);
}

TEST(TextIntake, ALineWhoseCheckSumIsWrongIsBroken) {
  std::string text = SummedText();
  text[text.find("8391")] = '9';
  const Taken taken = Take(BootedCells(), text);
  EXPECT_EQ(taken.report.rows, 1u);
  EXPECT_EQ(taken.OnlyFault(), "the check sum does not match");
}

TEST(TextIntake, FromTheFirstGoodCheckSumOnEveryLineNeedsOne) {
  // Torn lines that still read as samples are found this way.
  const Taken taken =
      Take(BootedCells(), SummedText() + "# a comment\n7,3,4,5,6,7,8,9\n");
  EXPECT_EQ(taken.report.rows, 2u);
  EXPECT_EQ(taken.OnlyFault(), "no check sum");
}

TEST(TextIntake, AStreamThatBrokeOffLeavesNoHalfLineBehind) {
  for (const bool anywhere : {false, true}) {
    std::size_t rows = 0;
    TextIntake intake(TwoCells(), 64, [&](const RawBlock& b) {
      rows += b.rows;
      return Expected<void>();
    });
    ASSERT_TRUE(intake.Push(std::string_view("1,2,3\n4,5,6"), 1e9));
    ASSERT_TRUE(intake.Rejoin(anywhere));
    ASSERT_TRUE(intake.Push(std::string_view("7,8,9\n10,11,12\n"), 1e9));
    ASSERT_TRUE(intake.Finish());
    EXPECT_EQ(rows, anywhere ? 2u : 3u);
    EXPECT_EQ(intake.report().broken, anywhere ? 2u : 1u);
  }
}

}  // namespace
}  // namespace masseter
