// A copy of a logbook that is being recorded, and what a copy may replace.
#include "logbook/copy_book.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <atomic>
#include <thread>

#include "logbook/logbook.h"
#include "logbook/test_files.h"

namespace masseter {
namespace {

using testing::HasSubstr;

// Rows of capture 1, each as appended.
std::int64_t SoundRows(const std::string& path) {
  auto book = Logbook::Open(path, Access::kRead);
  EXPECT_TRUE(book) << book.error().Text();
  if (!book) return -1;
  std::int64_t rows = 0;
  const auto read = book->ReadRaw(1, [&](const RawBlock& block) {
    EXPECT_TRUE(SameBits(block, SteadyBlock(rows, block.rows, 1.75e9)));
    rows += static_cast<std::int64_t>(block.rows);
    return true;
  });
  EXPECT_TRUE(read) << read.error().Text();
  return rows;
}

class CopyBookTest : public testing::Test {
 protected:
  void SetUp() override {
    auto made = Logbook::Create(from_, "a rig", 1.75e9);
    ASSERT_TRUE(made);
    ASSERT_TRUE(made->BeginCapture({}));
  }
  void Append(Logbook& book, std::size_t rows) {
    ASSERT_TRUE(book.Append(1, SteadyBlock(row_, rows, 1.75e9)));
    ASSERT_TRUE(book.Commit());
    row_ += static_cast<std::int64_t>(rows);
  }

  TestFolder folder_;
  std::string from_ = folder_.File("day.book");
  std::string to_ = folder_.File("copy.book");
  std::int64_t row_ = 0;
};

TEST_F(CopyBookTest, IsConsistentWhileTheRecorderWrites) {
  std::atomic<bool> stop = false;
  std::thread recorder([&] {
    auto book = Logbook::Open(from_, Access::kRecord);
    ASSERT_TRUE(book);
    while (!stop) Append(*book, 50);
    ASSERT_TRUE(book->FinishCapture(1, {}));
  });
  std::int64_t before = 0;
  for (int i = 0; i < 5; ++i) {
    const auto copied = CopyBook(from_, to_, {});
    EXPECT_TRUE(copied) << copied.error().Text();
    if (!copied) break;
    const std::int64_t rows = SoundRows(to_);
    EXPECT_EQ(static_cast<std::uint64_t>(rows), copied->samples);
    EXPECT_GE(rows, before);
    before = rows;
  }
  stop = true;
  recorder.join();
  ASSERT_TRUE(CopyBook(from_, to_, {}));
  EXPECT_EQ(SoundRows(to_), row_);
  // The copy is a logbook like any other.
  auto book = Logbook::Open(to_, Access::kRecord);
  ASSERT_TRUE(book);
  EXPECT_TRUE(book->BeginCapture({}));
}

TEST_F(CopyBookTest, ReplacesAnOlderCopyAndNothingElse) {
  ASSERT_TRUE(CopyBook(from_, to_, {}));
  {
    auto book = Logbook::Open(from_, Access::kRecord);
    Append(*book, 100);
  }
  ASSERT_TRUE(CopyBook(from_, to_, {}));
  EXPECT_EQ(SoundRows(to_), 100);
  const auto refused = [&](const std::string& place, const char* word) {
    const std::string was = ReadBytes(place);
    const auto copied = CopyBook(from_, place, {});
    ASSERT_FALSE(copied);
    EXPECT_EQ(copied.error().kind, ErrorKind::kBadInput);
    EXPECT_THAT(copied.error().Text(), HasSubstr(word));
    EXPECT_EQ(ReadBytes(place), was);
  };
  {
    auto newer = Logbook::Open(to_, Access::kRecord);
    ASSERT_TRUE(newer->Append(1, SteadyBlock(100, 10, 1.75e9)));
    ASSERT_TRUE(newer->Commit());
  }
  refused(to_, "not an older copy");
  const std::string other = folder_.File("other.book");
  ASSERT_TRUE(Logbook::Create(other, "another rig", 1.75e9));
  refused(other, "not an older copy");
  const std::string text = folder_.File("letter.txt");
  WriteBytes(text, "Dear helper");
  refused(text, "not an older copy");
  refused(from_, "the logbook itself");
  EXPECT_FALSE(CopyBook(from_, folder_.File("no/such/copy.book"), {}));
  EXPECT_FALSE(CopyBook(folder_.File("none.book"), to_, {}));
}

TEST_F(CopyBookTest, LeavesTheOlderCopyWhenItIsGivenUp) {
  ASSERT_TRUE(CopyBook(from_, to_, {}));
  const std::string was = ReadBytes(to_);
  std::mt19937_64 random(1);
  {
    auto book = Logbook::Open(from_, Access::kRecord);
    RawBlock wild = SteadyBlock(0, 60000, 1.75e9);
    for (auto& v : std::get<std::vector<std::int64_t>>(wild.columns[2])) {
      v = static_cast<std::int64_t>(random());
    }
    for (int i = 0; i < 5; ++i) ASSERT_TRUE(book->Append(1, wild));
    ASSERT_TRUE(book->Commit());
  }
  int pieces = 0;
  EXPECT_FALSE(CopyBook(from_, to_, [&] { return ++pieces < 2; }));
  EXPECT_EQ(pieces, 2);
  EXPECT_EQ(ReadBytes(to_), was);
  for (const std::string& name : folder_.Names()) {
    EXPECT_EQ(name.find(".new-"), std::string::npos) << name;
  }
}

}  // namespace
}  // namespace masseter
