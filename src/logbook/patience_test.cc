// A recorder on a disk that refuses: nothing is lost while memory lasts.
#include <gtest/gtest.h>

#include <thread>

#include "logbook/faulty_disk.h"
#include "logbook/logbook.h"
#include "logbook/test_files.h"

namespace masseter {
namespace {

using Fault = FaultyDisk::Fault;

class PatienceTest : public testing::TestWithParam<Fault> {
 protected:
  void SetUp() override {
    ASSERT_TRUE(Logbook::Create(path_, "", 0.0));
    auto opened = Logbook::Open(path_, Access::kRecord);
    ASSERT_TRUE(opened);
    book_.emplace(std::move(*opened));
    ASSERT_TRUE(book_->BeginCapture({}));
  }

  void Append(std::int64_t rows) {
    ASSERT_TRUE(book_->Append(
        1, SteadyBlock(row_, static_cast<std::size_t>(rows), 1.75e9)));
    row_ += rows;
    ASSERT_TRUE(book_->Commit());
  }

  TestFolder folder_;
  std::string path_ = folder_.File("day.book");
  FaultyDisk disk_;
  std::optional<Logbook> book_;
  std::int64_t row_ = 0;
};

TEST_P(PatienceTest, KeepsEverythingInOrderUntilThereIsRoom) {
  book_->BePatient(std::size_t{1} << 20U);
  Append(50);
  EXPECT_EQ(book_->AddBite({0, 1, 0.0, 0.5, "first"}).value(), 1);
  EXPECT_FALSE(book_->waiting().why);
  EXPECT_EQ(book_->waiting().stored, 50U);
  disk_.SetFault(GetParam());
  Append(50);
  ASSERT_TRUE(book_->AddMark(1, {0.1, "Brisk"}));
  EXPECT_EQ(book_->AddBite({0, 1, 1.0, 1.5, "second"}).value(), 2);
  EXPECT_EQ(book_->AddBite({0, 1, 2.0, 2.5, "third"}).value(), 3);
  ASSERT_TRUE(book_->PutRoster({{"Brisk", "", std::nullopt}}));
  Append(50);
  const Waiting waiting = book_->waiting();
  ASSERT_TRUE(waiting.why);
  EXPECT_EQ(waiting.samples, 100U);
  EXPECT_EQ(waiting.changes, 4U);
  EXPECT_EQ(waiting.stored, 50U);
  EXPECT_FALSE(book_->Settle());
  disk_.SetFault(Fault::kNone);
  ASSERT_TRUE(book_->Settle());
  EXPECT_FALSE(book_->waiting().why);
  Append(50);
  ASSERT_TRUE(book_->FinishCapture(1, {}));
  std::int64_t rows = 0;
  ASSERT_TRUE(book_->ReadRaw(1, [&](const RawBlock& block) {
    EXPECT_TRUE(SameBits(block, SteadyBlock(rows, block.rows, 1.75e9)));
    rows += static_cast<std::int64_t>(block.rows);
    return true;
  }));
  EXPECT_EQ(rows, 200);
  const auto bites = book_->Bites().value();
  ASSERT_EQ(bites.size(), 3U);
  EXPECT_EQ(bites[2].id, 3);
  EXPECT_EQ(bites[2].document, "third");
  EXPECT_EQ(book_->Marks(1).value().size(), 1U);
  EXPECT_EQ(book_->Roster().value().size(), 1U);
}

TEST_P(PatienceTest, TriesAgainByItself) {
  book_->BePatient(std::size_t{1} << 20U);
  disk_.SetFault(GetParam());
  Append(50);
  ASSERT_TRUE(book_->waiting().why);
  disk_.SetFault(Fault::kNone);
  for (int i = 0; i < 200 && book_->waiting().why; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
    ASSERT_TRUE(book_->Commit());
  }
  EXPECT_FALSE(book_->waiting().why);
  EXPECT_EQ(book_->waiting().stored, 50U);
}

TEST_P(PatienceTest, GivesUpWhenMoreWaitsThanItMay) {
  book_->BePatient(20000);
  disk_.SetFault(GetParam());
  std::mt19937_64 random(1);
  Expected<void> appended;
  int blocks = 0;
  for (; blocks < 10000 && appended; ++blocks) {
    RawBlock block = SteadyBlock(100 * blocks, 100, 1.75e9);
    for (auto& v : std::get<std::vector<std::int64_t>>(block.columns[2])) {
      v = static_cast<std::int64_t>(random());
    }
    appended = book_->Append(1, block);
    if (appended) appended = book_->Commit();
  }
  ASSERT_FALSE(appended);
  EXPECT_EQ(appended.error().kind, ErrorKind::kMachine);
  EXPECT_GT(book_->waiting().bytes, 20000U);
  // What waits is still there, should room be made now.
  disk_.SetFault(Fault::kNone);
  ASSERT_TRUE(book_->Settle());
  EXPECT_EQ(book_->Captures().value().front().rows,
            static_cast<std::uint64_t>(100 * blocks));
}

TEST_P(PatienceTest, IsNotThereUnlessAskedFor) {
  disk_.SetFault(GetParam());
  ASSERT_TRUE(book_->Append(1, SteadyBlock(0, 10, 1.75e9)) || !book_->Commit());
  EXPECT_FALSE(book_->AddMark(1, {0.0, "Brisk"}));
  disk_.SetFault(Fault::kNone);
  EXPECT_TRUE(book_->Commit());
}

INSTANTIATE_TEST_SUITE_P(Disk, PatienceTest,
                         testing::Values(Fault::kFull, Fault::kIoError,
                                         Fault::kSyncFails),
                         [](const auto& p) {
                           return p.param == Fault::kFull      ? "Full"
                                  : p.param == Fault::kIoError ? "IoError"
                                                               : "SyncFails";
                         });

}  // namespace
}  // namespace masseter
