// A recorder that is killed, that is not alone, that runs out of disk.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <thread>

#include "logbook/logbook.h"
#include "logbook/sqlite.h"
#include "logbook/test_files.h"

namespace masseter {
namespace {

using testing::HasSubstr;

class RecorderTest : public testing::Test {
 protected:
  void SetUp() override {
    auto book = Logbook::Create(path_, "", 0.0);
    ASSERT_TRUE(book) << book.error().Text();
  }

  // A child process runs `body`, which may report numbers through the pipe.
  pid_t Start(const std::function<void(int pipe)>& body) {
    int ends[2] = {};
    EXPECT_EQ(pipe(ends), 0);
    const pid_t child = fork();
    if (child == 0) {
      close(ends[0]);
      body(ends[1]);
      _exit(0);
    }
    close(ends[1]);
    pipe_ = ends[0];
    return child;
  }

  // The next number the child reports; -1 when it has ended.
  std::int64_t Next() {
    std::int64_t value = -1;
    return read(pipe_, &value, sizeof value) == sizeof value ? value : -1;
  }

  static void Report(int pipe, std::int64_t value) {
    if (write(pipe, &value, sizeof value) != sizeof value) _exit(98);
  }

  void ExpectSound() {
    auto db = Database::Open(path_, OpenMode::kReadWrite);
    ASSERT_TRUE(db);
    auto check = db->Prepare("PRAGMA integrity_check");
    ASSERT_TRUE(check);
    ASSERT_TRUE(check->Step());
    EXPECT_EQ(check->Text(0), "ok");
  }

  // Reads all rows of capture 1, checks each against SteadyBlock, counts them.
  std::int64_t SoundRows() {
    auto book = Logbook::Open(path_, Access::kRead);
    EXPECT_TRUE(book) << book.error().Text();
    if (!book) return -1;
    std::int64_t rows = 0;
    auto read = book->ReadRaw(1, [&](const RawBlock& block) {
      EXPECT_TRUE(
          SameBits(block, SteadyBlock(rows, block.rows, block.host_time_s)));
      rows += static_cast<std::int64_t>(block.rows);
      return true;
    });
    EXPECT_TRUE(read) << read.error().Text();
    EXPECT_EQ(book->Captures()->front().rows, static_cast<std::uint64_t>(rows));
    return rows;
  }

  TestFolder folder_;
  std::string path_ = folder_.File("day.book");
  int pipe_ = -1;
};

std::int64_t NowUs() {
  return std::chrono::duration_cast<std::chrono::microseconds>(
             std::chrono::steady_clock::now().time_since_epoch())
      .count();
}

// One call of Append: rows appended so far, when it began and when it was over.
struct AppendReport {
  std::int64_t rows, begin_us, end_us;
};

// Appends 20 rows every 20 ms for ever.
void RecordForEver(const std::string& path, int pipe) {
  auto book = Logbook::Open(path, Access::kRecord);
  if (!book || !book->BeginCapture({})) _exit(97);
  for (std::int64_t row = 0;; row += 20) {
    const double host_time_s = 1.75e9 + 0.001 * static_cast<double>(row);
    AppendReport report = {row + 20, NowUs(), 0};
    if (!book->Append(1, SteadyBlock(row, 20, host_time_s))) _exit(96);
    report.end_us = NowUs();
    if (write(pipe, &report, sizeof report) != sizeof report) _exit(95);
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
}

// Rows that were appended more than 0.25 s before the last call began.
std::int64_t RowsThatMustBeStored(const std::vector<AppendReport>& reports) {
  std::int64_t rows = 0;
  for (const AppendReport& report : reports) {
    if (report.end_us < reports.back().begin_us - 250000) rows = report.rows;
  }
  return rows;
}

TEST_F(RecorderTest, LosesAtMostAQuarterSecondWhenItIsKilled) {
  for (int trial = 0; trial < 3; ++trial) {
    SCOPED_TRACE(trial);
    std::filesystem::remove(path_);
    SetUp();
    const pid_t child = Start([&](int pipe) { RecordForEver(path_, pipe); });
    std::vector<AppendReport> reports;
    const std::int64_t until = NowUs() + 700000 + 63000 * trial;
    while (NowUs() < until || RowsThatMustBeStored(reports) == 0) {
      AppendReport report = {};
      ASSERT_EQ(read(pipe_, &report, sizeof report),
                static_cast<ssize_t>(sizeof report));
      reports.push_back(report);
    }
    kill(child, SIGKILL);
    int status = 0;
    waitpid(child, &status, 0);
    ASSERT_TRUE(WIFSIGNALED(status));
    close(pipe_);
    EXPECT_GE(SoundRows(), RowsThatMustBeStored(reports));
    ExpectSound();
    auto book = Logbook::Open(path_, Access::kRecord);  // no stale lock
    ASSERT_TRUE(book) << book.error().Text();
    EXPECT_TRUE(book->Captures()->front().open);
    // It can go on where the other ended.
    const auto rows = static_cast<std::int64_t>(book->Captures()->front().rows);
    ASSERT_TRUE(book->Append(1, SteadyBlock(rows, 20, 2e9)));
    ASSERT_TRUE(book->FinishCapture(1, {}));
    EXPECT_EQ(SoundRows(), rows + 20);
  }
}

TEST_F(RecorderTest, RefusesASecondOneAndNamesTheFirst) {
  const pid_t child = Start([&](int pipe) {
    auto book = Logbook::Open(path_, Access::kRecord);
    Report(pipe, book ? 1 : 0);
    pause();
  });
  ASSERT_EQ(Next(), 1);
  auto second = Logbook::Open(path_, Access::kRecord);
  ASSERT_FALSE(second);
  EXPECT_EQ(second.error().kind, ErrorKind::kBadInput);
  EXPECT_EQ(second.error().Text(), path_ + ": another recorder (process " +
                                       std::to_string(child) +
                                       ") has it in use");
  // The same file under another name is the same logbook.
  const std::string link = folder_.File("link.book");
  std::filesystem::create_symlink(path_, link);
  EXPECT_FALSE(Logbook::Open(link, Access::kRecord));
  // Short changes go on beside it.
  auto writer = Logbook::Open(path_, Access::kWrite);
  ASSERT_TRUE(writer);
  EXPECT_TRUE(writer->PutRoster({{"Brisk", "", std::nullopt}}));
  kill(child, SIGKILL);
  waitpid(child, nullptr, 0);
  close(pipe_);
  auto third = Logbook::Open(path_, Access::kRecord);
  EXPECT_TRUE(third) << third.error().Text();
}

TEST_F(RecorderTest, RefusesASecondOneInTheSameProcess) {
  {
    auto first = Logbook::Open(path_, Access::kRecord);
    ASSERT_TRUE(first);
    EXPECT_FALSE(Logbook::Open(path_, Access::kRecord));
    // The refusal leaves the first one's lock in place.
    EXPECT_FALSE(Logbook::Open(path_, Access::kRecord));
  }
  EXPECT_TRUE(Logbook::Open(path_, Access::kRecord));
  EXPECT_EQ(folder_.Names(), std::vector<std::string>{"day.book"});
}

TEST_F(RecorderTest, IsReadByAnotherProcessWhileItRecords) {
  const pid_t child = Start([&](int pipe) { RecordForEver(path_, pipe); });
  Next();  // the first Append is over
  std::int64_t before = 0;
  int grown = 0;
  for (int i = 0; i < 200 && grown < 4; ++i) {
    const std::int64_t rows = SoundRows();
    EXPECT_GE(rows, before);
    if (rows > before) ++grown;
    before = rows;
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  EXPECT_EQ(grown, 4);
  kill(child, SIGKILL);
  waitpid(child, nullptr, 0);
  close(pipe_);
}

// A limit on file size stands in for a full disk: the write fails with EFBIG.
TEST_F(RecorderTest, KeepsWhatItHasWhenTheDiskIsFull) {
  const pid_t child = Start([&](int pipe) {
    signal(SIGXFSZ, SIG_IGN);
    auto book = Logbook::Open(path_, Access::kRecord);
    if (!book || !book->BeginCapture({})) _exit(97);
    const rlimit limit = {400000, RLIM_INFINITY};
    setrlimit(RLIMIT_FSIZE, &limit);
    std::mt19937_64 random(3);
    std::int64_t committed = 0;
    for (;;) {
      if (!book->Append(
              1, SteadyBlock(committed, 50, static_cast<double>(random())))) {
        break;
      }
      if (auto stored = book->Commit(); !stored) {
        Report(pipe, committed);
        Report(pipe, static_cast<std::int64_t>(stored.error().kind));
        Report(pipe, stored.error().what.find("the disk") == 0 ? 1 : 0);
        break;
      }
      committed += 50;
    }
    // With room again the samples that waited are stored.
    const rlimit wide = {RLIM_INFINITY, RLIM_INFINITY};
    setrlimit(RLIMIT_FSIZE, &wide);
    Report(pipe, SoundRows());
    Report(pipe, book->Commit() ? 1 : 0);
  });
  const std::int64_t committed = Next();
  EXPECT_GT(committed, 0);
  EXPECT_EQ(Next(), static_cast<std::int64_t>(ErrorKind::kMachine));
  EXPECT_EQ(Next(), 1);
  EXPECT_EQ(Next(), committed);
  EXPECT_EQ(Next(), 1);
  waitpid(child, nullptr, 0);
  close(pipe_);
  EXPECT_EQ(SoundRows(), committed + 50);
  ExpectSound();
}

TEST_F(RecorderTest, CreatesNothingOnAFullDisk) {
  const std::string path = folder_.File("new.book");
  const pid_t child = Start([&](int pipe) {
    signal(SIGXFSZ, SIG_IGN);
    const rlimit limit = {20000, RLIM_INFINITY};
    setrlimit(RLIMIT_FSIZE, &limit);
    const auto created = Logbook::Create(path, "", 0.0);
    Report(pipe,
           created ? -1 : static_cast<std::int64_t>(created.error().kind));
    Report(pipe, !created && created.error().where == path ? 1 : 0);
  });
  EXPECT_EQ(Next(), static_cast<std::int64_t>(ErrorKind::kMachine));
  EXPECT_EQ(Next(), 1);
  waitpid(child, nullptr, 0);
  close(pipe_);
  EXPECT_EQ(folder_.Names(), std::vector<std::string>{"day.book"});
}

TEST(Database, SaysThatTheDiskIsFull) {
  TestFolder folder;
  auto db = Database::Open(folder.File("a.db"), OpenMode::kCreate);
  ASSERT_TRUE(db);
  ASSERT_TRUE(db->Execute("CREATE TABLE a(x)"));
  ASSERT_TRUE(db->QueryInt("PRAGMA max_page_count = 3"));
  const auto full = db->Execute("INSERT INTO a VALUES(zeroblob(100000))");
  ASSERT_FALSE(full);
  EXPECT_EQ(full.error().kind, ErrorKind::kMachine);
  EXPECT_THAT(full.error().what, HasSubstr("the disk is full"));
}

}  // namespace
}  // namespace masseter
