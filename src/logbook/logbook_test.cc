// A logbook as its callers see it: rig, calibrations, captures, bites.
#include "logbook/logbook.h"

#include <gtest/gtest.h>

#include "logbook/test_files.h"

namespace masseter {
namespace {

constexpr double kNow = 1.75e9;

class LogbookTest : public testing::Test {
 protected:
  void SetUp() override {
    auto book = Logbook::Create(path_, "[rig]\nname = \"A\"\n", kNow);
    ASSERT_TRUE(book) << book.error().Text();
    book_.emplace(std::move(*book));
  }

  std::int64_t NewCapture() {
    CaptureInfo info;
    info.source = "capture.csv";
    auto id = book_->BeginCapture(info);
    EXPECT_TRUE(id) << id.error().Text();
    return id.value_or(0);
  }

  BiteRecord Bite(std::int64_t capture, double start_s, double end_s) {
    return {0, capture, start_s, end_s, "{}"};
  }

  TestFolder folder_;
  std::string path_ = folder_.File("day.book");
  std::optional<Logbook> book_;
};

TEST_F(LogbookTest, KeepsTheRigTextVerbatim) {
  EXPECT_EQ(book_->RigToml(), "[rig]\nname = \"A\"\n");
  EXPECT_EQ(book_->RigRevision(), 1);
  EXPECT_EQ(book_->path(), path_);
}

TEST_F(LogbookTest, LeavesOneFileBehindWhenClosed) {
  NewCapture();
  book_.reset();
  EXPECT_EQ(folder_.Names(), std::vector<std::string>{"day.book"});
}

TEST_F(LogbookTest, KeepsCalibrationsInOrder) {
  const std::string readings = std::string("a\0b", 3) + "\xEF\xBB\xBF\r\n";
  EXPECT_EQ(book_->AddCalibration({0, kNow, "{\"a\":1}", readings}), 1);
  EXPECT_EQ(book_->AddCalibration({0, kNow + 1, "{}", ""}), 2);
  const auto kept = book_->Calibrations();
  ASSERT_TRUE(kept);
  ASSERT_EQ(kept->size(), 2U);
  EXPECT_EQ((*kept)[0].document, "{\"a\":1}");
  EXPECT_EQ((*kept)[0].readings, readings);
  EXPECT_EQ((*kept)[1].id, 2);
  EXPECT_EQ((*kept)[1].created_unix_s, kNow + 1);
}

TEST_F(LogbookTest, KeepsWhatACaptureSaysOfItself) {
  CaptureInfo info;
  info.source = "serial:/dev/ttyUSB0@921600";
  info.created_unix_s = kNow;
  info.layout = {{Role::kSequence, -1}, {Role::kChannel, 2}};
  const auto id = book_->BeginCapture(info);
  ASSERT_TRUE(id);
  info.broken_lines = 3;
  info.notes = "{\"bad\":[7]}";
  ASSERT_TRUE(book_->FinishCapture(*id, info));
  const auto captures = book_->Captures();
  ASSERT_TRUE(captures);
  ASSERT_EQ(captures->size(), 1U);
  const CaptureInfo& kept = captures->front();
  EXPECT_EQ(kept.id, *id);
  EXPECT_EQ(kept.source, info.source);
  EXPECT_EQ(kept.created_unix_s, kNow);
  EXPECT_EQ(kept.broken_lines, 3U);
  EXPECT_EQ(kept.notes, info.notes);
  EXPECT_EQ(kept.layout, info.layout);
  EXPECT_FALSE(kept.open);
  EXPECT_FALSE(kept.measured);
  EXPECT_EQ(kept.rows, 0U);
}

TEST_F(LogbookTest, CountsTheRowsOfACaptureThatWasNeverFinished) {
  const auto id = NewCapture();
  ASSERT_TRUE(book_->Append(id, SteadyBlock(0, 250)));
  ASSERT_TRUE(book_->Append(id, SteadyBlock(250, 9000)));
  book_.reset();
  auto again = Logbook::Open(path_, Access::kRead);
  ASSERT_TRUE(again) << again.error().Text();
  const auto captures = again->Captures();
  ASSERT_TRUE(captures);
  EXPECT_TRUE(captures->front().open);
  EXPECT_EQ(captures->front().rows, 9250U);
  // The layout comes from the samples when nobody told it.
  EXPECT_EQ(captures->front().layout, SteadyBlock(0, 1).layout);
}

TEST_F(LogbookTest, RefusesSamplesForACaptureItDoesNotHaveOrHasClosed) {
  auto unknown = book_->Append(7, SteadyBlock(0, 1));
  ASSERT_FALSE(unknown);
  EXPECT_EQ(unknown.error().what, "capture 7 is not in this logbook");
  const auto id = NewCapture();
  ASSERT_TRUE(book_->FinishCapture(id, {}));
  auto closed = book_->Append(id, SteadyBlock(0, 1));
  ASSERT_FALSE(closed);
  EXPECT_EQ(closed.error().what,
            "capture 1 is closed; nothing can be added to it");
  EXPECT_FALSE(book_->FinishCapture(id, {}));
}

TEST_F(LogbookTest, RefusesColumnsOfUnequalLength) {
  const auto id = NewCapture();
  RawBlock block = SteadyBlock(0, 5);
  block.rows = 6;
  EXPECT_FALSE(book_->Append(id, block));
  block = SteadyBlock(0, 5);
  block.layout.pop_back();
  EXPECT_FALSE(book_->Append(id, block));
  EXPECT_EQ(book_->Captures()->front().rows, 0U);
}

TEST_F(LogbookTest, PutsDogsByNameAndKeepsTheOthers) {
  ASSERT_TRUE(book_->PutRoster(
      {{"Brisk", "", std::nullopt}, {"Umber", "mixed", 31.5}}));
  ASSERT_TRUE(book_->PutRoster({{"Brisk", "shepherd", 28.0}}));
  const std::vector<RosterEntry> expected = {{"Brisk", "shepherd", 28.0},
                                             {"Umber", "mixed", 31.5}};
  EXPECT_EQ(book_->Roster(), expected);
}

TEST_F(LogbookTest, KeepsMarksInOrderOfTime) {
  const auto id = NewCapture();
  ASSERT_TRUE(book_->AddMark(id, {9.0, "Umber"}));
  ASSERT_TRUE(book_->AddMark(id, {2.5, "Brisk"}));
  ASSERT_TRUE(book_->AddMark(id, {9.0, "!out"}));
  const std::vector<Mark> expected = {
      {2.5, "Brisk"}, {9.0, "Umber"}, {9.0, "!out"}};
  EXPECT_EQ(book_->Marks(id), expected);
  EXPECT_FALSE(book_->AddMark(id + 1, {0.0, "Brisk"}));
}

TEST_F(LogbookTest, ABiteKeepsItsNumberWhenItIsMeasuredAnew) {
  const auto id = NewCapture();
  const auto other = NewCapture();
  EXPECT_EQ(book_->AddBite(Bite(id, 1.0, 2.0)), 1);
  EXPECT_EQ(book_->AddBite(Bite(other, 1.0, 2.0)), 2);
  EXPECT_EQ(book_->AddBite(Bite(id, 5.0, 6.0)), 3);
  // The edges move a little; nothing else changes.
  const auto ids = book_->ReplaceBites(
      id, {Bite(id, 1.1, 2.2), Bite(id, 4.9, 6.0)}, "1.0", 0);
  EXPECT_EQ(ids, (std::vector<std::int64_t>{1, 3}));
  // A bite found in between does not push the others along.
  const auto more = book_->ReplaceBites(
      id, {Bite(id, 1.1, 2.2), Bite(id, 3.0, 3.5), Bite(id, 4.9, 6.0)}, "1.1",
      0);
  EXPECT_EQ(more, (std::vector<std::int64_t>{1, 4, 3}));
  // Nor does one that is found no more; its number is not used again.
  const auto fewer = book_->ReplaceBites(
      id, {Bite(id, 3.0, 3.5), Bite(id, 8.0, 9.0)}, "1.2", 0);
  EXPECT_EQ(fewer, (std::vector<std::int64_t>{4, 5}));
  EXPECT_EQ(book_->Bites()->size(), 3U);
}

TEST_F(LogbookTest, NotesWhatTheBitesWereDerivedWith) {
  const auto id = NewCapture();
  ASSERT_EQ(book_->AddCalibration({0, kNow, "{}", ""}), 1);
  ASSERT_TRUE(book_->ReplaceBites(id, {}, "method 3", 1));
  const auto captures = book_->Captures();
  EXPECT_TRUE(captures->front().measured);
  EXPECT_EQ(captures->front().method, "method 3");
  EXPECT_EQ(captures->front().calibration, 1);
  auto wrong = book_->ReplaceBites(id, {}, "method 3", 9);
  ASSERT_FALSE(wrong);
  EXPECT_EQ(wrong.error().what, "calibration 9 is not in this logbook");
}

TEST_F(LogbookTest, ReadsTheBitesOfOneRecordingOneAtATime) {
  const auto id = NewCapture();
  const auto other = NewCapture();
  ASSERT_EQ(book_->AddBite(Bite(id, 5.0, 6.0)), 1);
  ASSERT_EQ(book_->AddBite(Bite(other, 1.0, 2.0)), 2);
  ASSERT_EQ(book_->AddBite(Bite(id, 1.0, 2.0)), 3);
  ASSERT_EQ(book_->AddBite(Bite(id, 8.0, 9.0)), 4);
  std::vector<std::int64_t> seen;
  const auto visit = [&](const BiteRecord& bite) {
    EXPECT_EQ(bite.capture, id);
    seen.push_back(bite.id);
    return bite.id != 1;
  };
  ASSERT_TRUE(book_->ReadBites(id, 0.0, visit));
  EXPECT_EQ(seen, (std::vector<std::int64_t>{3, 1}));  // it was stopped
  seen.clear();
  ASSERT_TRUE(book_->ReadBites(id, 6.5, visit));
  EXPECT_EQ(seen, (std::vector<std::int64_t>{4}));
  const auto found = book_->FindBite(2);
  ASSERT_TRUE(found && *found);
  EXPECT_EQ((*found)->capture, other);
  EXPECT_EQ((*found)->end_s, 2.0);
  EXPECT_EQ(book_->FindBite(99)->has_value(), false);
}

TEST_F(LogbookTest, NotesThatItsBitesAreThoseOfAllSamples) {
  const auto id = NewCapture();
  ASSERT_EQ(book_->AddCalibration({0, kNow, "{}", ""}), 1);
  ASSERT_EQ(book_->AddBite(Bite(id, 5.0, 6.0)), 1);
  ASSERT_TRUE(book_->NoteMeasured(id, "method 3", 1));
  const auto captures = book_->Captures();
  EXPECT_TRUE(captures->front().measured);
  EXPECT_EQ(captures->front().method, "method 3");
  EXPECT_EQ(captures->front().calibration, 1);
  EXPECT_EQ(book_->Bites()->front().id, 1);
  EXPECT_FALSE(book_->NoteMeasured(id, "method 3", 9));
  EXPECT_FALSE(book_->NoteMeasured(id + 1, "method 3", 1));
}

TEST_F(LogbookTest, TakesBackAllOfAFailedTransaction) {
  const auto before = NewCapture();
  ASSERT_TRUE(book_->Append(before, SteadyBlock(0, 10)));
  std::int64_t inside = 0;
  auto done = book_->Transact([&]() -> Expected<void> {
    inside = NewCapture();
    EXPECT_TRUE(book_->Append(inside, SteadyBlock(0, 20000)));
    EXPECT_TRUE(book_->Append(before, SteadyBlock(10, 5)));
    EXPECT_TRUE(book_->Commit());
    return BadInput("capture.csv:3", "no");
  });
  ASSERT_FALSE(done);
  EXPECT_EQ(done.error().Text(), "capture.csv:3: no");
  ASSERT_EQ(book_->Captures()->size(), 1U);
  EXPECT_EQ(book_->Captures()->front().rows, 10U);
  // Recording goes on behind what is left.
  ASSERT_TRUE(book_->Append(before, SteadyBlock(10, 7)));
  EXPECT_EQ(book_->Captures()->front().rows, 17U);
}

TEST_F(LogbookTest, TakesBackOnlyTheInnerOfTwoTransactions) {
  auto done = book_->Transact([&]() -> Expected<void> {
    const auto outer = NewCapture();
    EXPECT_TRUE(book_->Append(outer, SteadyBlock(0, 3)));
    auto inner = book_->Transact([&]() -> Expected<void> {
      EXPECT_TRUE(book_->Append(outer, SteadyBlock(3, 4)));
      NewCapture();
      return BadInput("", "no");
    });
    EXPECT_FALSE(inner);
    EXPECT_TRUE(book_->Append(outer, SteadyBlock(3, 2)));
    return {};
  });
  ASSERT_TRUE(done) << done.error().Text();
  ASSERT_EQ(book_->Captures()->size(), 1U);
  EXPECT_EQ(book_->Captures()->front().rows, 5U);
}

TEST_F(LogbookTest, ChangesNothingWhenOpenForReading) {
  book_.reset();
  auto reader = Logbook::Open(path_, Access::kRead);
  ASSERT_TRUE(reader);
  const auto refused = reader->BeginCapture({});
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().what, "is open for reading only");
  EXPECT_FALSE(reader->PutRoster({{"Brisk", "", std::nullopt}}));
  EXPECT_TRUE(reader->Captures()->empty());
}

}  // namespace
}  // namespace masseter
