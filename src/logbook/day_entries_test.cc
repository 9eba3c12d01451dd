// What was said in the field, kept for good; marks and dogs taken back; and a
// logbook of the format before it.
#include <gtest/gtest.h>
#include <zstd.h>

#include "logbook/logbook.h"
#include "logbook/schema.h"
#include "logbook/sqlite.h"
#include "logbook/test_files.h"

namespace masseter {
namespace {

constexpr double kNow = 1.75e9;

class DayEntriesTest : public testing::Test {
 protected:
  void SetUp() override {
    auto book = Logbook::Create(path_, "[rig]\n", kNow);
    ASSERT_TRUE(book) << book.error().Text();
    book_.emplace(std::move(*book));
    CaptureInfo info;
    info.source = "a.csv";
    const auto capture = book_->BeginCapture(info);
    ASSERT_TRUE(capture);
    capture_ = *capture;
  }
  TestFolder folder_;
  std::string path_ = folder_.File("day.book");
  std::optional<Logbook> book_;
  std::int64_t capture_ = 0;
};

TEST_F(DayEntriesTest, ComeBackInTheOrderTheyWereSaid) {
  EXPECT_EQ(book_->LastDayEntry(), 0);
  EXPECT_EQ(book_->AddDayEntry({0, "note", kNow, capture_, 12.5, "{\"a\":1}"}),
            1);
  EXPECT_EQ(book_->AddDayEntry({0, "void", kNow + 1, 0, std::nullopt, "{}"}),
            2);
  EXPECT_EQ(book_->LastDayEntry(), 2);
  const auto entries = book_->DayEntries();
  ASSERT_TRUE(entries);
  ASSERT_EQ(entries->size(), 2U);
  EXPECT_EQ((*entries)[0].kind, "note");
  EXPECT_EQ((*entries)[0].capture, capture_);
  EXPECT_EQ((*entries)[0].t_s, 12.5);
  EXPECT_EQ((*entries)[0].document, "{\"a\":1}");
  EXPECT_EQ((*entries)[1].capture, 0);
  EXPECT_EQ((*entries)[1].t_s, std::nullopt);
  EXPECT_EQ((*entries)[1].created_unix_s, kNow + 1);
}

TEST_F(DayEntriesTest, CanBeNeitherChangedNorDeletedByAnyProgram) {
  ASSERT_TRUE(
      book_->AddDayEntry({0, "note", kNow, capture_, std::nullopt, "{}"}));
  book_.reset();
  auto db = Database::Open(path_, OpenMode::kReadWrite);
  ASSERT_TRUE(db);
  EXPECT_FALSE(db->Execute("UPDATE day_entry SET document = 'x'"));
  EXPECT_FALSE(db->Execute("DELETE FROM day_entry"));
  EXPECT_EQ(db->QueryInt("SELECT count(*) FROM day_entry"), 1);
}

TEST_F(DayEntriesTest, RemoveMarkTakesBackTheNewestOfThoseThatAreEqual) {
  const Mark brisk{1.0, "Brisk"};
  const Mark juno{2.0, "Juno"};
  for (const Mark& mark : {brisk, juno, brisk}) {
    ASSERT_TRUE(book_->AddMark(capture_, mark));
  }
  ASSERT_TRUE(book_->RemoveMark(capture_, brisk));
  EXPECT_EQ(book_->Marks(capture_), (std::vector<Mark>{brisk, juno}));
  ASSERT_TRUE(book_->RemoveMark(capture_, brisk));
  EXPECT_EQ(book_->Marks(capture_), (std::vector<Mark>{juno}));
  const auto none = book_->RemoveMark(capture_, brisk);
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().what, "holds no such mark");
}

TEST_F(DayEntriesTest, RemoveDogLeavesTheOthersInTheirOrder) {
  const std::vector<RosterEntry> dogs = {
      {"Brisk", "", 29.5}, {"Juno", "", {}}, {"Tarn", "", {}}};
  ASSERT_TRUE(book_->PutRoster(dogs));
  ASSERT_TRUE(book_->RemoveDog("Juno"));
  EXPECT_EQ(book_->Roster(), (std::vector<RosterEntry>{dogs[0], dogs[2]}));
}

TEST_F(DayEntriesTest, ABiteKeepsNumberAndPlaceWhenItIsDescribedAnew) {
  const auto id =
      book_->AddBite({0, capture_, 1.0, 2.0, "{\"dog\":\"Brisk\"}"});
  ASSERT_TRUE(id);
  ASSERT_TRUE(book_->RedescribeBite(*id, "{\"dog\":\"Juno\"}"));
  const auto bites = book_->Bites();
  ASSERT_TRUE(bites);
  ASSERT_EQ(bites->size(), 1U);
  EXPECT_EQ((*bites)[0].id, *id);
  EXPECT_EQ((*bites)[0].end_s, 2.0);
  EXPECT_EQ((*bites)[0].document, "{\"dog\":\"Juno\"}");
}

// tests/golden/logbook_v1.book.zst: a simulated capture of 5 s with one bite,
// written by this program when format 1 was the newest.
class FormatOneTest : public testing::Test {
 protected:
  void SetUp() override {
    const std::string packed = ReadBytes(std::string(MASSETER_SOURCE_DIR) +
                                         "/tests/golden/logbook_v1.book.zst");
    const auto size = ZSTD_getFrameContentSize(packed.data(), packed.size());
    ASSERT_LT(size, 1U << 20U);
    std::string bytes(size, '\0');
    ASSERT_EQ(ZSTD_decompress(bytes.data(), bytes.size(), packed.data(),
                              packed.size()),
              size);
    WriteBytes(path_, bytes);
  }

  std::int64_t Version() {
    auto db = Database::Open(path_, OpenMode::kReadOnly);
    EXPECT_TRUE(db);
    return db ? db->QueryInt("PRAGMA user_version").value_or(-1) : -1;
  }

  // Everything that format 1 holds, whoever opened the file before.
  static void ExpectWhole(const Logbook& book) {
    const auto captures = book.Captures();
    ASSERT_TRUE(captures) << captures.error().Text();
    ASSERT_EQ(captures->size(), 1U);
    EXPECT_EQ((*captures)[0].rows, 699U);
    std::size_t rows = 0;
    const auto read = book.ReadRaw(1, [&](const RawBlock& block) {
      rows += block.rows;
      return true;
    });
    EXPECT_TRUE(read) << read.error().Text();
    EXPECT_EQ(rows, 699U);
    EXPECT_EQ(book.Roster()->size(), 3U);
    EXPECT_EQ(book.Marks(1),
              (std::vector<Mark>{{1.2, "Brisk"}, {3.3, "!out"}}));
    EXPECT_EQ(book.Bites()->size(), 1U);
    EXPECT_EQ(book.Calibrations()->size(), 1U);
    EXPECT_EQ(book.BenchEntries("limits")->size(), 1U);
  }

  TestFolder folder_;
  std::string path_ = folder_.File("old.book");
};

TEST_F(FormatOneTest, IsReadAsItIs) {
  {
    const auto book = Logbook::Open(path_, Access::kRead);
    ASSERT_TRUE(book) << book.error().Text();
    ExpectWhole(*book);
    EXPECT_TRUE(book->DayEntries()->empty());
    EXPECT_EQ(book->LastDayEntry(), 0);
  }
  EXPECT_EQ(Version(), 1);
}

TEST_F(FormatOneTest, IsBroughtUpToDateByTheFirstThatWrites) {
  const auto reader = Logbook::Open(path_, Access::kRead);  // was there before
  ASSERT_TRUE(reader);
  {
    auto book = Logbook::Open(path_, Access::kWrite);
    ASSERT_TRUE(book) << book.error().Text();
    ExpectWhole(*book);
    EXPECT_EQ(book->AddDayEntry({0, "note", kNow, 1, 3.0, "{}"}), 1);
  }
  EXPECT_EQ(Version(), CurrentVersion());
  ExpectWhole(*reader);
  EXPECT_EQ(reader->DayEntries()->size(), 1U);
  const auto book = Logbook::Open(path_, Access::kRead);
  ASSERT_TRUE(book) << book.error().Text();
  ExpectWhole(*book);
  EXPECT_EQ(book->DayEntries()->size(), 1U);
}

}  // namespace
}  // namespace masseter
