// Raw samples through a real file: every bit back, nothing changed, damage
// found and named.
#include <gtest/gtest.h>

#include <thread>

#include "logbook/logbook.h"
#include "logbook/sqlite.h"
#include "logbook/test_files.h"

namespace masseter {
namespace {

class RawSamplesTest : public testing::Test {
 protected:
  void SetUp() override {
    auto book = Logbook::Create(path_, "", 0.0);
    ASSERT_TRUE(book) << book.error().Text();
    book_.emplace(std::move(*book));
    capture_ = book_->BeginCapture({}).value_or(0);
  }

  std::vector<RawBlock> ReadAll(std::uint64_t first = 0,
                                std::uint64_t last = 1 << 30) {
    std::vector<RawBlock> blocks;
    auto read =
        book_->ReadRawRange(capture_, first, last, [&](const RawBlock& block) {
          blocks.push_back(block);
          return true;
        });
    EXPECT_TRUE(read) << read.error().Text();
    return blocks;
  }

  // Runs SQL behind the logbook's back.
  Expected<void> Tamper(const std::string& sql) {
    auto db = Database::Open(path_, OpenMode::kReadWrite);
    EXPECT_TRUE(db);
    return db->Execute(sql);
  }

  TestFolder folder_;
  std::string path_ = folder_.File("day.book");
  std::optional<Logbook> book_;
  std::int64_t capture_ = 0;
};

TEST_F(RawSamplesTest, ComeBackBitForBitThroughAFile) {
  std::mt19937_64 random(5);
  std::vector<RawBlock> blocks;
  for (int i = 0; i < 60; ++i) {
    blocks.push_back(RandomBlock(random, 300));
    // Host times all differ, so blocks come back as they were appended.
    blocks.back().host_time_s = 1.75e9 + i;
    ASSERT_TRUE(book_->Append(capture_, blocks.back()));
  }
  ASSERT_TRUE(book_->FinishCapture(capture_, {}));
  book_.reset();
  book_.emplace(std::move(*Logbook::Open(path_, Access::kRead)));
  const auto back = ReadAll();
  ASSERT_EQ(back.size(), blocks.size());
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    EXPECT_TRUE(SameBits(back[i], blocks[i])) << "block " << i;
  }
}

TEST_F(RawSamplesTest, ComeBackWholeWhenOneBlockIsLongerThanAChunk) {
  const RawBlock block = SteadyBlock(0, 50000);
  ASSERT_TRUE(book_->Append(capture_, block));
  const auto parts = ReadAll();
  EXPECT_EQ(parts.size(), 7U);  // 50000 / 8192, rounded up
  RawBlock joined = parts.at(0);
  for (std::size_t i = 1; i < parts.size(); ++i) Concatenate(joined, parts[i]);
  EXPECT_TRUE(SameBits(joined, block));
}

TEST_F(RawSamplesTest, AreSeenBeforeTheyAreCommitted) {
  ASSERT_TRUE(book_->Append(capture_, SteadyBlock(0, 3, 1.0)));
  ASSERT_TRUE(book_->Append(capture_, SteadyBlock(3, 3, 2.0)));
  EXPECT_EQ(ReadAll().size(), 2U);
}

TEST_F(RawSamplesTest, GiveAnyRangeOfRows) {
  for (int i = 0; i < 30; ++i) {
    ASSERT_TRUE(book_->Append(capture_, SteadyBlock(700 * i, 700, i)));
  }
  for (const auto& [first, last] : {std::pair{0, 0},
                                    {699, 700},
                                    {8191, 8192},
                                    {100, 20100},
                                    {20999, 20999},
                                    {20000, 30000}}) {
    const auto parts = ReadAll(static_cast<std::uint64_t>(first),
                               static_cast<std::uint64_t>(last));
    std::int64_t row = first;
    for (const RawBlock& part : parts) {
      const auto& seq = std::get<std::vector<std::int64_t>>(part.columns[0]);
      for (const std::int64_t s : seq) {
        EXPECT_EQ(s, row++);
        EXPECT_EQ(part.host_time_s, static_cast<double>(s / 700));
      }
    }
    EXPECT_EQ(row, std::min(last + 1, 21000));
  }
  EXPECT_TRUE(ReadAll(21000, 30000).empty());
  EXPECT_TRUE(ReadAll(5, 4).empty());
}

TEST_F(RawSamplesTest, StopWhenTheVisitorHasHadEnough) {
  ASSERT_TRUE(book_->Append(capture_, SteadyBlock(0, 20000)));
  int visits = 0;
  ASSERT_TRUE(
      book_->ReadRaw(capture_, [&](const RawBlock&) { return ++visits < 2; }));
  EXPECT_EQ(visits, 2);
}

TEST_F(RawSamplesTest, MayBeReadWhileBitesAreWritten) {
  ASSERT_TRUE(book_->Append(capture_, SteadyBlock(0, 20000)));
  ASSERT_TRUE(book_->ReadRaw(capture_, [&](const RawBlock&) {
    const auto id = book_->AddBite({0, capture_, 1.0, 2.0, ""});
    EXPECT_TRUE(id) << id.error().Text();
    return book_
        ->ReadRawRange(capture_, 0, 10, [](const RawBlock&) { return true; })
        .has_value();
  }));
  EXPECT_EQ(book_->Bites()->size(), 3U);
}

TEST_F(RawSamplesTest, OfACaptureThatIsNotThereAreRefused) {
  const auto read = book_->ReadRaw(99, [](const RawBlock&) { return true; });
  ASSERT_FALSE(read);
  EXPECT_EQ(read.error().what, "capture 99 is not in this logbook");
}

TEST_F(RawSamplesTest, CannotBeChangedDeletedOrSlippedIn) {
  ASSERT_TRUE(book_->Append(capture_, SteadyBlock(0, 100)));
  ASSERT_TRUE(book_->Commit());
  const struct {
    const char* sql;
    const char* words;
  } attempts[] = {
      {"UPDATE raw_chunk SET rows = 1", "raw samples are never changed"},
      {"DELETE FROM raw_chunk", "raw samples are never deleted"},
      {"INSERT OR REPLACE INTO raw_chunk(capture, first_row, rows, codec,"
       " sha256, data) VALUES(1, 0, 100, 1, zeroblob(32), x'00')",
       "raw samples must follow the ones before"},
      {"INSERT OR REPLACE INTO raw_chunk(id, capture, first_row, rows, codec,"
       " sha256, data) VALUES(1, 1, 100, 100, 1, zeroblob(32), x'00')",
       "raw samples must follow the ones before"},
      {"INSERT INTO raw_chunk(capture, first_row, rows, codec, sha256, data)"
       " VALUES(1, 150, 1, 1, zeroblob(32), x'00')",
       "raw samples must follow the ones before"},
      {"DELETE FROM capture", "captures are never deleted"},
      {"UPDATE capture SET id = 9", "a capture keeps its number"},
  };
  for (const auto& attempt : attempts) {
    const auto refused = Tamper(attempt.sql);
    ASSERT_FALSE(refused) << attempt.sql;
    EXPECT_EQ(refused.error().kind, ErrorKind::kBadInput);
    EXPECT_EQ(refused.error().what, attempt.words) << attempt.sql;
  }
  ASSERT_TRUE(book_->FinishCapture(capture_, {}));
  EXPECT_EQ(Tamper("UPDATE capture SET open = 1").error().what,
            "a closed capture stays closed");
  EXPECT_EQ(
      Tamper("INSERT INTO raw_chunk(capture, first_row, rows, codec, sha256,"
             " data) VALUES(1, 100, 1, 1, zeroblob(32), x'00')")
          .error()
          .what,
      "the capture is closed; no raw samples can be added");
  EXPECT_EQ(ReadAll().size(), 1U);
}

TEST_F(RawSamplesTest, ThatAreDamagedAreNamed) {
  for (int i = 0; i < 3; ++i) {
    ASSERT_TRUE(book_->Append(capture_, SteadyBlock(8192 * i, 8192)));
  }
  ASSERT_TRUE(book_->Commit());
  const std::string drop = "DROP TRIGGER raw_chunk_stays;";
  ASSERT_TRUE(Tamper(drop + "UPDATE raw_chunk SET sha256 = zeroblob(32)"
                            " WHERE first_row = 8192"));
  std::uint64_t rows = 0;
  auto count = [&](const RawBlock& block) {
    rows += block.rows;
    return true;
  };
  auto read = book_->ReadRaw(capture_, count);
  ASSERT_FALSE(read);
  EXPECT_EQ(read.error().kind, ErrorKind::kBadInput);
  EXPECT_EQ(read.error().Text(),
            path_ +
                ": capture 1, rows 8192 to 16383: the chunk is damaged; "
                "its SHA-256 does not match its content");
  EXPECT_EQ(rows, 8192U);
  // What is behind it can still be had.
  EXPECT_TRUE(book_->ReadRawRange(capture_, 16384, 24575, count));
  EXPECT_EQ(rows, 16384U);
}

TEST_F(RawSamplesTest, InTheWrongPlaceOrMissingAreNamed) {
  for (int i = 0; i < 3; ++i) {
    ASSERT_TRUE(book_->Append(capture_, SteadyBlock(8192 * i, 8192)));
  }
  ASSERT_TRUE(book_->Commit());
  const auto visit = [](const RawBlock&) { return true; };
  ASSERT_TRUE(
      Tamper("DROP TRIGGER raw_chunk_stays; DROP TRIGGER raw_chunk_remains;"
             "UPDATE raw_chunk SET (sha256, data) = (SELECT sha256, data FROM"
             " raw_chunk WHERE id = 1) WHERE id = 2"));
  auto moved = book_->ReadRaw(capture_, visit);
  ASSERT_FALSE(moved);
  EXPECT_NE(moved.error().what.find("rows 8192 to 16383: the chunk is damaged; "
                                    "it belongs to another place"),
            std::string::npos);
  ASSERT_TRUE(Tamper("DELETE FROM raw_chunk WHERE id = 2"));
  auto missing = book_->ReadRaw(capture_, visit);
  ASSERT_FALSE(missing);
  EXPECT_EQ(missing.error().what,
            "capture 1: the samples from row 8192 on are missing");
}

TEST_F(RawSamplesTest, OfOneCaptureAreNotWrittenByTwoAtOnce) {
  auto other = Logbook::Open(path_, Access::kWrite);
  ASSERT_TRUE(other);
  ASSERT_TRUE(book_->Append(capture_, SteadyBlock(0, 10)));
  ASSERT_TRUE(book_->Commit());
  ASSERT_TRUE(other->Append(capture_, SteadyBlock(10, 10)));
  ASSERT_TRUE(other->Commit());
  ASSERT_TRUE(book_->Append(capture_, SteadyBlock(10, 10)));
  const auto refused = book_->Commit();
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().what, "raw samples must follow the ones before");
}

TEST_F(RawSamplesTest, AreCommittedByAppendItselfWithinAQuarterSecond) {
  auto reader = Logbook::Open(path_, Access::kRead);
  ASSERT_TRUE(reader);
  ASSERT_TRUE(book_->Append(capture_, SteadyBlock(0, 10)));
  ASSERT_TRUE(book_->Commit());
  std::this_thread::sleep_for(std::chrono::milliseconds(205));
  ASSERT_TRUE(book_->Append(capture_, SteadyBlock(10, 10)));
  EXPECT_EQ(reader->Captures()->front().rows, 20U);
}

}  // namespace
}  // namespace masseter
