// `inspect` through the built program: its words, its page, its exit codes.
#include <gmock/gmock.h>

#include <set>
#include <sstream>

#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

// The example's capture with every second line only: half the rate, and every
// second counter missing.
std::string HalfOf(const Folder& folder) {
  std::istringstream all(FileText(Example("capture.csv")));
  std::string text;
  std::string line;
  for (int n = 0; std::getline(all, line); ++n) {
    if (n % 2 == 0) text += line + "\n";
  }
  return folder.Write("half.csv", text);
}

class Inspect : public ::testing::Test {
 protected:
  Folder folder_;
  std::string book_ = CalibratedBook(folder_);
};

TEST_F(Inspect, SaysInWordsWhatItFoundAndEndsWithTheAnswer) {
  ASSERT_EQ(Masseter({"import", book_, Example("capture.csv")}).exit, 0);
  const Said said = Masseter({"inspect", book_, "1"});
  ASSERT_EQ(said.exit, 0) << said.err;
  EXPECT_THAT(said.out, HasSubstr("noise of c4"));
  EXPECT_THAT(said.out, HasSubstr("stored; forces in newtons"));
  // Its counter runs from 500 to 8374, and 7845 of its 7850 lines can be read.
  EXPECT_THAT(said.out, HasSubstr("7845 samples in 0:15"));
  EXPECT_THAT(said.out, HasSubstr("30 samples missing or unreadable"));
  EXPECT_THAT(said.out, HasSubstr("What to do\n  losses: bring the receiver"));
  EXPECT_TRUE(said.out.ends_with(" watch 1 line.\n")) << said.out;
  // The file says what the recording says.
  EXPECT_EQ(Masseter({"inspect", book_, Example("capture.csv")}).out, said.out);
}

TEST_F(Inspect, AnswersAScriptLineByLine) {
  const Said said = Masseter({"inspect", book_, HalfOf(folder_), "--json"});
  EXPECT_EQ(said.exit, 3) << said.err;
  const nlohmann::json j = said.Json();
  EXPECT_EQ(j.at("level"), "no-go");
  const std::set<std::string> keys = {"what",  "level", "found",
                                      "value", "unit",  "advice"};
  for (const auto& line : j.at("lines")) {
    std::set<std::string> found;
    for (const auto& [key, value] : line.items()) found.insert(key);
    EXPECT_EQ(found, keys);
    EXPECT_EQ(line.at("advice") == "", line.at("level") == "go") << line;
    if (line.at("what") != "losses") continue;
    EXPECT_NEAR(line.at("value").get<double>(), 50.0, 0.5);  // every second
    EXPECT_EQ(line.at("level"), "no-go");
  }
}

TEST_F(Inspect, WritesAPageAndKeepsTheExitCode) {
  const std::string page = folder_ / "health.html";
  const Said go =
      Masseter({"inspect", book_, Example("capture.csv"), "-o", page});
  ASSERT_EQ(go.exit, 0) << go.err;
  EXPECT_THAT(go.out, HasSubstr("Wrote " + page + ". Go, and watch 1 line."));
  const std::string html = FileText(page);
  EXPECT_THAT(html, HasSubstr("<span>Watch</span>"));
  EXPECT_THAT(html, HasSubstr("capture.csv"));
  // The file's own clock: 48.2 ms less one step at the longest.
  EXPECT_THAT(html, HasSubstr("6 gaps, the longest 48 ms"));
  const Said no =
      Masseter({"inspect", book_, HalfOf(folder_), "-o", page, "--json"});
  EXPECT_EQ(no.exit, 3);
  EXPECT_EQ(no.Json().at("level"), "no-go");
  EXPECT_THAT(FileText(page), HasSubstr("<span>No-go</span>"));
  const Said out = Masseter({"inspect", book_, HalfOf(folder_), "-o", "-"});
  EXPECT_EQ(out.exit, 3);
  EXPECT_TRUE(out.out.starts_with("<!doctype html>"));
}

TEST_F(Inspect, AnUncalibratedBookGivesAPageWithoutNewtons) {
  const std::string bare = folder_ / "bare.book";
  ASSERT_EQ(Masseter({"new", bare, "--rig", Example("rig.toml")}).exit, 0);
  const Said said =
      Masseter({"inspect", bare, Example("capture.csv"), "-o", "-"});
  ASSERT_EQ(said.exit, 0) << said.err;
  EXPECT_THAT(said.out, HasSubstr("no figure of a bite can be trusted"));
  EXPECT_THAT(said.out, HasSubstr("Force from rest (channels&#39; unit)"));
  EXPECT_THAT(said.out, Not(HasSubstr("(N)")));
}

TEST_F(Inspect, RefusesToWriteOverWhatItReads) {
  const std::string capture = HalfOf(folder_);
  const std::string kept = FileText(capture);
  const std::string before = FileText(book_);
  EXPECT_EQ(Masseter({"inspect", book_, capture, "-o", book_}).exit, 2);
  EXPECT_EQ(FileText(book_), before);
  const Said over = Masseter({"inspect", book_, capture, "-o", capture});
  EXPECT_EQ(over.exit, 2);
  EXPECT_THAT(over.err, HasSubstr("is the capture"));
  EXPECT_EQ(FileText(capture), kept);
  EXPECT_EQ(Masseter({"inspect", book_, capture, "-o", "-", "--json"}).exit, 2);
  const Said none = Masseter({"inspect", book_, "7"});
  EXPECT_EQ(none.exit, 2);
  EXPECT_THAT(none.err, HasSubstr("no recording 7"));
}

}  // namespace
}  // namespace masseter::integration
