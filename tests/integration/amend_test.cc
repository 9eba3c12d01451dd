// Bites struck out afterwards, from the command line: everything that shows or
// counts bites must say the same.
#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

class Amended : public testing::Test {
 protected:
  void SetUp() override {
    book_ = CalibratedBook(folder_);
    const Said said =
        Masseter({"import", book_, Example("capture.csv"), "--roster",
                  Example("roster.csv"), "--marks", Example("marks.csv")});
    ASSERT_EQ(said.exit, 0) << said.err;
  }

  nlohmann::json Bite(int id) const {
    const nlohmann::json bites =
        Masseter({"bites", book_, "--json"}).Json()["bites"];
    for (const auto& bite : bites) {
      if (bite["id"] == id) return bite;
    }
    return nullptr;
  }

  Folder folder_;
  std::string book_;
  const std::string reason_ = "the helper's knee pressed the sleeve";
};

TEST_F(Amended, ABiteStruckOutIsVoidEverywhereAndComesBack) {
  const nlohmann::json before = Bite(2);
  const Said struck = Masseter({"amend", book_, "2", "--void", reason_});
  ASSERT_EQ(struck.exit, 0) << struck.err;
  EXPECT_NE(struck.out.find(reason_), std::string::npos);

  const nlohmann::json after = Bite(2);
  EXPECT_EQ(after["verdict"], "void");
  EXPECT_EQ(after["reasons"][0]["code"], "withdrawn");
  EXPECT_EQ(after["reasons"][0]["text"], reason_);
  EXPECT_EQ(after["peak_n"], before["peak_n"]);
  EXPECT_NE(Masseter({"explain", book_, "2"}).out.find("Struck out"),
            std::string::npos);
  EXPECT_EQ(
      Masseter({"explain", book_, "2", "--json"}).Json()["bite"]["verdict"],
      "void");
  EXPECT_EQ(
      Masseter({"status", book_, "--json"}).Json()["captures"][0]["struck_out"],
      1);
  const std::string page = folder_ / "day.html";
  ASSERT_EQ(Masseter({"report", book_, "-o", page}).exit, 0);
  EXPECT_NE(FileText(page).find("knee pressed the sleeve"), std::string::npos);

  ASSERT_EQ(Masseter({"amend", book_, "2", "--restore"}).exit, 0);
  EXPECT_EQ(Bite(2), before);
}

TEST_F(Amended, ABiteStaysStruckOutWhenItIsMeasuredAnew) {
  ASSERT_EQ(Masseter({"amend", book_, "2", "--void", reason_}).exit, 0);
  // A limit that is over makes every bite stale: all are derived anew.
  ASSERT_EQ(Masseter({"check", book_, "--valid-for", "1s"}).exit, 0);
  const Said again = Masseter(
      {"calibrate", book_, Example("readings.csv"), "--gravity", "9.80665"});
  ASSERT_EQ(again.exit, 0) << again.err;
  const nlohmann::json bite = Bite(2);
  EXPECT_EQ(bite["verdict"], "void");
  EXPECT_EQ(bite["reasons"][0]["code"], "withdrawn");
  EXPECT_EQ(Bite(1)["verdict"] == "void", false);
}

TEST(AmendedDay, CompareLeavesOutWhatWasStruckOut) {
  const Folder folder;
  const std::string book = SimulatedDay(folder);
  const Said imported =
      Masseter({"import", book, Simulated(folder, "capture.csv"), "--roster",
                Simulated(folder, "roster.csv"), "--marks",
                Simulated(folder, "marks.csv")});
  ASSERT_EQ(imported.exit, 0) << imported.err;
  const std::string dog =
      Masseter({"bites", book, "--json"}).Json()["bites"][0]["dog"];
  const auto compared = [&] {
    const Said said = Masseter({"compare", book, "--json"});
    EXPECT_EQ(said.exit, 0) << said.err;
    const nlohmann::json dogs = said.Json()["dogs"];
    for (const auto& d : dogs) {
      if (d["dog"] == dog) return d["bites"].get<int>();
    }
    return 0;
  };
  const int before = compared();
  ASSERT_EQ(Masseter({"amend", book, "1", "--void", "the sleeve fell"}).exit,
            0);
  EXPECT_EQ(compared(), before - 1);
}

TEST_F(Amended, NotesAreListedWithTheDogOfTheirBite) {
  ASSERT_EQ(Masseter({"amend", book_, "1", "--note", "  slipped "}).exit, 0);
  const nlohmann::json said = Masseter({"amend", book_, "--json"}).Json();
  ASSERT_EQ(said["notes"].size(), 1U);
  EXPECT_EQ(said["notes"][0]["dog"], "Brisk");
  EXPECT_EQ(said["notes"][0]["bite"], 1);
  EXPECT_EQ(said["notes"][0]["text"], "slipped");
  EXPECT_TRUE(said["struck_out"].empty());
}

TEST_F(Amended, WrongCallsSayWhyAndChangeNothing) {
  const auto refused = [&](std::vector<std::string> words,
                           const std::string& text) {
    words.insert(words.begin(), {"amend", book_});
    const Said said = Masseter(words);
    EXPECT_EQ(said.exit, 2) << said.out;
    EXPECT_NE(said.err.find(text), std::string::npos) << said.err;
    EXPECT_EQ(std::count(said.err.begin(), said.err.end(), '\n'), 1);
  };
  refused({"9", "--void", reason_}, "bite 9: is not in this logbook");
  refused({"2", "--void", "x"}, "3 to 200 letters");
  refused({"2", "--void", std::string(201, 'x')}, "3 to 200 letters");
  refused({"2", "--restore"}, "bite 2: is not struck out");
  refused({"2"}, "--void REASON, --restore, --note TEXT");
  refused({"2", "--restore", "--note", "x"}, "say one of");
  refused({"--restore"}, "say which bite");
  refused({"2", "--note", " "}, "the note is empty");
  refused({"two", "--restore"}, "BITE");
  EXPECT_EQ(Bite(2)["verdict"], "sound");
  ASSERT_EQ(Masseter({"amend", book_, "2", "--void", reason_}).exit, 0);
  refused({"2", "--void", reason_}, "bite 2: is struck out already");
}

}  // namespace
}  // namespace masseter::integration
