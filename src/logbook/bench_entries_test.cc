// What happened at the bench, kept for good.
#include <gtest/gtest.h>

#include "logbook/logbook.h"
#include "logbook/sqlite.h"
#include "logbook/test_files.h"

namespace masseter {
namespace {

constexpr double kNow = 1.75e9;

class BenchEntriesTest : public testing::Test {
 protected:
  void SetUp() override {
    auto book = Logbook::Create(path_, "[rig]\n", kNow);
    ASSERT_TRUE(book) << book.error().Text();
    book_.emplace(std::move(*book));
  }
  TestFolder folder_;
  std::string path_ = folder_.File("day.book");
  std::optional<Logbook> book_;
};

TEST_F(BenchEntriesTest, ComeBackByKindInTheOrderTheyWereMade) {
  EXPECT_EQ(book_->AddBenchEntry({0, "reading", kNow, "{\"a\":1}"}), 1);
  EXPECT_EQ(book_->AddBenchEntry({0, "check", kNow + 1, "{}"}), 2);
  EXPECT_EQ(book_->AddBenchEntry({0, "reading", kNow + 2, "{\"a\":2}"}), 3);
  const auto readings = book_->BenchEntries("reading");
  ASSERT_TRUE(readings);
  ASSERT_EQ(readings->size(), 2U);
  EXPECT_EQ((*readings)[0].document, "{\"a\":1}");
  EXPECT_EQ((*readings)[1].created_unix_s, kNow + 2);
  EXPECT_EQ(book_->BenchEntries("")->size(), 3U);
  EXPECT_TRUE(book_->BenchEntries("taps")->empty());
}

TEST_F(BenchEntriesTest, CanBeNeitherChangedNorDeletedByAnyProgram) {
  ASSERT_TRUE(book_->AddBenchEntry({0, "reading", kNow, "{}"}));
  book_.reset();
  auto db = Database::Open(path_, OpenMode::kReadWrite);
  ASSERT_TRUE(db);
  EXPECT_FALSE(db->Execute("UPDATE bench_entry SET document = 'x'"));
  EXPECT_FALSE(db->Execute("DELETE FROM bench_entry"));
  EXPECT_EQ(db->QueryInt("SELECT count(*) FROM bench_entry"), 1);
}

TEST_F(BenchEntriesTest, MeasureAnewLaterLeavesAnOpenCaptureAlone) {
  CaptureInfo info;
  info.source = "a.csv";
  const auto closed = book_->BeginCapture(info);
  ASSERT_TRUE(closed);
  ASSERT_TRUE(book_->FinishCapture(*closed, info));
  ASSERT_TRUE(book_->ReplaceBites(*closed, {}, "1", 0));
  const auto open = book_->BeginCapture(info);
  ASSERT_TRUE(open);
  ASSERT_TRUE(book_->ReplaceBites(*open, {}, "1", 0));
  ASSERT_TRUE(book_->MeasureAnewLater());
  const auto captures = book_->Captures();
  ASSERT_TRUE(captures);
  EXPECT_FALSE((*captures)[0].measured);
  EXPECT_TRUE((*captures)[1].measured);
}

}  // namespace
}  // namespace masseter
