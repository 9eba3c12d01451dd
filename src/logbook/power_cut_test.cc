// The power goes while a logbook is being recorded: what a call that returned
// had promised to keep is there, the file is sound, the next run goes on.
#include <gtest/gtest.h>

#include <optional>

#include "logbook/faulty_disk.h"
#include "logbook/logbook.h"
#include "logbook/sqlite.h"
#include "logbook/test_files.h"

namespace masseter {
namespace {

constexpr int kSteps = 450;
constexpr std::size_t kRows = 200;  // a step

// Row `row` of the capture: a channel that does not pack well, so that the
// write-ahead log fills up and is moved into the file while we record.
RawBlock WildBlock(std::int64_t first, std::size_t rows, double host_time_s) {
  RawBlock block = SteadyBlock(first, rows, host_time_s);
  for (auto& value : std::get<std::vector<std::int64_t>>(block.columns[2])) {
    // splitmix64's last steps: no two rows look alike.
    auto z = static_cast<std::uint64_t>(value) * 0x9E3779B97F4A7C15U;
    z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27U)) * 0x94D049BB133111EBU;
    value = static_cast<std::int64_t>(z ^ (z >> 31U));
  }
  return block;
}

double HostTime(int step) { return 1.75e9 + step; }

// What must be there once `operations` have happened.
struct Promise {
  std::size_t operations = 0;
  std::size_t rows = 0;
  std::size_t marks = 0;
  std::size_t bites = 0;
};

// Records with everything that a recorder writes.
std::vector<Promise> RecordDay(const std::string& path,
                               const FaultyDisk& disk) {
  std::vector<Promise> promises;
  auto book = Logbook::Open(path, Access::kRecord);
  EXPECT_TRUE(book) << book.error().Text();
  EXPECT_TRUE(book->BeginCapture({}));
  Promise now;
  std::size_t bites = 0;
  const auto keep = [&] {
    now.operations = disk.operations();
    promises.push_back(now);
  };
  keep();
  for (int step = 0; step < kSteps; ++step) {
    const auto row = static_cast<std::int64_t>(now.rows);
    EXPECT_TRUE(book->Append(1, WildBlock(row, kRows, HostTime(step))));
    EXPECT_TRUE(book->Commit());
    now.rows += kRows;
    now.bites = bites;  // derived: kept with the next samples that are
    keep();
    if (step % 10 == 3) {
      EXPECT_TRUE(book->AddMark(1, {1.0 * step, "Brisk"}));
      ++now.marks;
      keep();
    }
    if (step % 10 == 7) {
      EXPECT_TRUE(book->AddBite({0, 1, 1.0 * step, step + 0.5, "{}"}));
      ++bites;
      keep();
    }
  }
  EXPECT_TRUE(book->FinishCapture(1, {}));
  keep();
  return promises;
}

// The rows of capture 1; nullopt when one is not what was appended.
std::optional<std::size_t> SoundRows(const Logbook& book, std::string& wrong) {
  std::size_t rows = 0;
  const auto read = book.ReadRaw(1, [&](const RawBlock& block) {
    const RawBlock expected = WildBlock(static_cast<std::int64_t>(rows),
                                        block.rows, block.host_time_s);
    if (!SameBits(block, expected)) wrong = "a row is not what was appended";
    rows += block.rows;
    return wrong.empty();
  });
  if (!read) wrong = read.error().Text();
  if (!wrong.empty()) return std::nullopt;
  return rows;
}

std::string WhatIsMissing(const Logbook& book, const Promise& promised,
                          const Promise& most) {
  std::string wrong;
  const auto rows = SoundRows(book, wrong);
  if (!rows) return wrong;
  if (*rows < promised.rows) return "samples are missing";
  if (*rows > most.rows) return "there are samples that nobody appended";
  const auto marks = book.Marks(1);
  if (!marks) return marks.error().Text();
  if (marks->size() < promised.marks) return "marks are missing";
  const auto bites = book.Bites();
  if (!bites) return bites.error().Text();
  if (bites->size() < promised.bites) return "bites are missing";
  for (std::size_t i = 0; i < bites->size(); ++i) {
    const double start_s = 10.0 * static_cast<double>(i) + 7.0;
    if ((*bites)[i].start_s != start_s) return "a bite is another one";
  }
  return "";
}

std::string GoOn(Logbook& book) {
  const auto capture = book.BeginCapture({});
  if (!capture) return capture.error().Text();
  if (auto ok = book.Append(*capture, SteadyBlock(0, 100)); !ok) {
    return ok.error().Text();
  }
  if (auto ok = book.FinishCapture(*capture, {}); !ok) {
    return ok.error().Text();
  }
  std::size_t rows = 0;
  const auto read = book.ReadRaw(*capture, [&](const RawBlock& block) {
    rows += block.rows;
    return true;
  });
  if (!read) return read.error().Text();
  return rows == 100 ? "" : "the next run's samples are missing";
}

std::string Integrity(const std::string& path) {
  auto db = Database::Open(path, OpenMode::kReadWrite);
  if (!db) return db.error().Text();
  auto check = db->Prepare("PRAGMA integrity_check");
  if (!check) return check.error().Text();
  const auto row = check->Step();
  if (!row) return row.error().Text();
  return check->Text(0) == "ok" ? "" : check->Text(0);
}

// "" when the file after the cut is as promised and can be recorded into.
std::string WhatIsWrong(const std::string& path, const Promise& promised,
                        const Promise& most) {
  auto book = Logbook::Open(path, Access::kRecord);
  if (!book) return book.error().Text();
  if (auto wrong = WhatIsMissing(*book, promised, most); !wrong.empty()) {
    return wrong;
  }
  if (auto wrong = Integrity(path); !wrong.empty()) return wrong;
  if (auto wrong = GoOn(*book); !wrong.empty()) return wrong;
  return Integrity(path);
}

class PowerCut : public testing::Test {
 protected:
  void SetUp() override { ASSERT_TRUE(Logbook::Create(path_, "", 0.0)); }

  // Every second cut is just behind a call that returned, the others anywhere.
  void CutAndLook(std::size_t index, const std::vector<Promise>& promises,
                  const FaultyDisk& disk) {
    std::mt19937_64 random(index);
    const Promise& at = promises[random() % promises.size()];
    const std::size_t first = promises.front().operations;
    const std::size_t cut =
        index % 2 == 0 ? at.operations
                       : first + random() % (disk.operations() - first + 1);
    const auto next = std::upper_bound(
        promises.begin(), promises.end(), cut,
        [](std::size_t c, const Promise& p) { return c < p.operations; });
    const Promise& promised = *std::prev(next);
    const Promise& most = next == promises.end() ? promised : *next;
    const TestFolder image;
    disk.WriteImage(cut, random, image.path().string());
    const FaultyDisk idle;  // syncs cost nothing there
    const std::string wrong =
        WhatIsWrong(image.File("day.book"), promised, most);
    if (wrong.empty()) return;
    ++losses_;
    last_ = "cut " + std::to_string(index) + " after operation " +
            std::to_string(cut) + ": " + wrong;
  }

  TestFolder folder_;
  std::string path_ = folder_.File("day.book");
  std::size_t losses_ = 0;
  std::string last_;
};

TEST_F(PowerCut, TakesNothingThatWasPromised) {
  FaultyDisk disk;
  const auto promises = RecordDay(path_, disk);
  disk.Unplug();
  // The write-ahead log was moved into the file meanwhile and at the end.
  EXPECT_GE(disk.syncs("day.book"), 2U);
  EXPECT_GT(disk.syncs("day.book-wal"), static_cast<std::size_t>(kSteps));
  for (std::size_t i = 0; i < Times(200); ++i) CutAndLook(i, promises, disk);
  EXPECT_EQ(losses_, 0U) << last_;
}

// The test above can fail: without syncs (PRAGMA synchronous = OFF) the same
// cuts lose samples or the whole file.
TEST_F(PowerCut, TakesALotFromARecorderThatDoesNotSync) {
  FaultyDisk disk;
  disk.ForgetSyncs();
  const auto promises = RecordDay(path_, disk);
  disk.Unplug();
  constexpr std::size_t kCuts = Times(60);
  for (std::size_t i = 0; i < kCuts; ++i) CutAndLook(i, promises, disk);
  // Of four fates one keeps all that was written (DrawLuck), and few cuts
  // fall where nothing waits.
  EXPECT_GT(losses_, kCuts / 2);
}

}  // namespace
}  // namespace masseter
