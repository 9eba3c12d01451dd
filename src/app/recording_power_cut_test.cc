// The power goes while a sleeve is being recorded and measured.
#include <gtest/gtest.h>

#include <random>

#include "app/bite_list.h"
#include "app/calibrate_book.h"
#include "app/recording.h"
#include "device/sim/bench.h"
#include "device/sim/scenario.h"
#include "device/sim/stream.h"
#include "device/sim/texts.h"
#include "logbook/faulty_disk.h"
#include "logbook/test_files.h"

namespace masseter {
namespace {

constexpr double kDayS = 40.0;   // of the simulated day
constexpr double kTickS = 0.25;  // a store
constexpr std::uint64_t kSeed = 20;

std::string CalibratedBook(const std::string& path,
                           const sim::Scenario& scenario) {
  const sim::BenchPlan plan = sim::DefaultBenchPlan(scenario.sleeve);
  EXPECT_TRUE(NewBook(path, sim::RigToml(scenario.sleeve), "the rig"));
  CalibrateOptions options;
  options.gravity_m_s2 = plan.gravity_m_s2;
  const auto done = CalibrateBookText(
      path, sim::BenchReadingsCsv(scenario.sleeve, plan, kSeed), "readings",
      options);
  EXPECT_TRUE(done) << done.error().Text();
  return path;
}

// What had been promised once `operations` had happened.
struct Promise {
  std::size_t operations = 0;
  std::uint64_t samples = 0;
  std::size_t bites = 0;
};

RawBlock AllRows(const Logbook& book, std::int64_t capture) {
  RawBlock all;
  const auto read = book.ReadRaw(capture, [&](const RawBlock& block) {
    if (all.rows == 0) {
      all = block;
    } else {
      Concatenate(all, block);
    }
    return true;
  });
  EXPECT_TRUE(read) << read.error().Text();
  all.host_time_s = 0.0;
  return all;
}

class RecordingPowerCut : public testing::Test {
 protected:
  void Record() {
    const sim::Scenario scenario = sim::DemoScenario(kSeed);
    CalibratedBook(path_, scenario);
    FaultyDisk& disk = disk_;
    auto book = OpenBook(path_, Access::kRecord);
    ASSERT_TRUE(book) << book.error().Text();
    sim::SimStream stream(scenario.sleeve, scenario.day, scenario.seed);
    LiveHub hub;
    LivePublisher publisher(hub, *book, {"sleeve"});
    Recording recording(*book, {0, "sleeve", {{0.0, "Brisk"}}}, publisher,
                        [](const Bite&) {});
    ASSERT_TRUE(recording.Begin());
    for (double t = kTickS; t <= kDayS; t += kTickS) {
      ASSERT_TRUE(recording.Take(stream.Next(t), 1.75e9 + t));
      ASSERT_TRUE(recording.Tick(t));
      promises_.push_back(
          {disk.operations(), recording.samples(), recording.bites()});
    }
    ASSERT_TRUE(recording.End(true));
    all_ = AllRows(book->logbook, recording.capture());
  }

  // "" when the logbook after the cut holds what was promised and can be
  // measured and recorded into.
  std::string WhatIsWrong(const std::string& path, const Promise& promised) {
    {
      auto book = OpenBook(path, Access::kRead);
      if (!book) return book.error().Text();
      const RawBlock rows = AllRows(book->logbook, 1);
      if (rows.rows < promised.samples) return "samples are missing";
      RawBlock same = all_;
      for (RawColumn& c : same.columns) {
        std::visit([&](auto& v) { v.resize(rows.rows); }, c);
      }
      same.rows = rows.rows;
      if (!SameBits(rows, same)) return "a sample is another one";
    }
    const auto bites = ListBites(path);  // measures what the cut left
    if (!bites) return bites.error().Text();
    if (bites->size() < promised.bites) return "bites are missing";
    for (std::size_t i = 0; i < promised.bites; ++i) {
      const Bite& found = (*bites)[i].bite;
      if (found.start_s != whole_[i].bite.start_s ||
          found.peak_n != whole_[i].bite.peak_n ||
          found.dog != whole_[i].bite.dog) {
        return "bite " + std::to_string(i + 1) + " is measured differently";
      }
    }
    auto book = OpenBook(path, Access::kRecord);
    if (!book) return book.error().Text();
    LiveHub hub;
    LivePublisher publisher(hub, *book, {"sleeve"});
    Recording next(*book, {0, "sleeve", {}}, publisher, [](const Bite&) {});
    if (auto ok = next.Begin(); !ok) return ok.error().Text();
    if (auto ok = next.End(true); !ok) return ok.error().Text();
    return next.capture() > 1 ? "" : "the next run is no new capture";
  }

  TestFolder folder_;
  std::string path_ = folder_.File("day.book");
  FaultyDisk disk_;
  std::vector<Promise> promises_;
  RawBlock all_;
  std::vector<StoredBite> whole_;
};

TEST_F(RecordingPowerCut, LeavesEverySampleAndBiteThatWasKept) {
  ASSERT_NO_FATAL_FAILURE(Record());
  disk_.Unplug();
  whole_ = ListBites(path_).value();
  ASSERT_GE(promises_.back().bites, 4U);
  for (std::size_t i = 0; i < Times(200); ++i) {
    std::mt19937_64 random(i);
    const std::size_t at = random() % promises_.size();
    // Behind a store, or while the next is under way.
    const std::size_t room =
        at + 1 == promises_.size()
            ? 0
            : promises_[at + 1].operations - promises_[at].operations;
    const std::size_t cut =
        promises_[at].operations + (i % 2 == 0 ? 0 : random() % (room + 1));
    const TestFolder image;
    disk_.WriteImage(cut, random, image.path().string());
    const FaultyDisk idle;  // syncs cost nothing there
    EXPECT_EQ(WhatIsWrong(image.File("day.book"), promises_[at]), "")
        << "cut " << i << " after operation " << cut;
    if (HasFailure()) return;
  }
}

}  // namespace
}  // namespace masseter
