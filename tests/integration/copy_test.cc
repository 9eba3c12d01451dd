// Copies of a logbook on a second place, by the built program.
#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

class Copies : public testing::Test {
 protected:
  // `live` from a pipe that stays open until Finish.
  void Start(const std::string& to) {
    book_ = CalibratedBook(folder_);
    live_ = std::make_unique<FedProcess>(
        std::vector<std::string>{"live", book_, "--from", "-", "--no-page",
                                 "--copy-to", to, "--copy-every", "1"});
    const std::string text = FileText(Example("capture.csv"));
    const std::size_t half = text.size() / 2;
    ASSERT_TRUE(live_->Write(text.substr(0, half)));
    rest_ = text.substr(half);
  }
  Said Finish() {
    EXPECT_TRUE(live_->Write(rest_));
    live_->EndOfInput();
    return live_->Wait();
  }

  Folder folder_;
  std::string book_;
  std::string rest_;
  std::unique_ptr<FedProcess> live_;
};

TEST_F(Copies, AreMadeWhileItRecordsAndHoldAllInTheEnd) {
  const std::string stick = folder_ / "stick";
  std::filesystem::create_directory(stick);
  ASSERT_NO_FATAL_FAILURE(Start(stick));
  ASSERT_TRUE(live_->Says("Copied to " + stick)) << live_->out();
  // Beside the recorder, by hand.
  const Said once = Masseter({"copy", book_, "--to", folder_ / "hand.book"});
  EXPECT_EQ(once.exit, 0) << once.err;
  const Said said = Finish();
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(Difference(BitesOf(book_), BitesOf(stick + "/day.book")), "");
  EXPECT_EQ(Masseter({"bites", folder_ / "hand.book"}).exit, 0);
}

TEST_F(Copies, OnlyWarnWhenTheStickIsPulledAndComesBack) {
  const std::string stick = folder_ / "stick";
  std::filesystem::create_directory(stick);
  ASSERT_NO_FATAL_FAILURE(Start(stick));
  ASSERT_TRUE(live_->Says("Copied to " + stick)) << live_->out();
  std::filesystem::rename(stick, folder_ / "pulled");
  ASSERT_TRUE(live_->Says("No copy: ")) << live_->out();
  std::filesystem::create_directory(stick);
  ASSERT_TRUE(Eventually([&] {
    return std::filesystem::exists(stick + "/day.book");
  })) << live_->out();
  const Said said = Finish();
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(Difference(BitesOf(book_), BitesOf(stick + "/day.book")), "");
}

TEST_F(Copies, AreRefusedBeforeAnythingIsRecorded) {
  book_ = CalibratedBook(folder_);
  const std::string letter = folder_.Write("letter.txt", "Dear helper");
  const Said said =
      Masseter({"live", book_, "--from", "file:" + Example("capture.csv"),
                "--no-page", "--copy-to", letter});
  EXPECT_EQ(said.exit, 2) << said.out;
  EXPECT_EQ(FileText(letter), "Dear helper");
  // A stick that is not plugged in does not become a file of its name.
  const std::string stick = folder_ / "stick";
  const Said missing =
      Masseter({"live", book_, "--from", "file:" + Example("capture.csv"),
                "--no-page", "--copy-to", stick});
  EXPECT_EQ(missing.exit, 2) << missing.out;
  EXPECT_NE(missing.err.find("is no folder; is the stick in?"),
            std::string::npos)
      << missing.err;
  EXPECT_EQ(Masseter({"copy", book_, "--to", stick}).exit, 2);
  EXPECT_FALSE(std::filesystem::exists(stick));
  EXPECT_TRUE(Masseter({"status", book_, "--json"}).Json()["captures"].empty());
}

}  // namespace
}  // namespace masseter::integration
