// Many sleeves for longer than a day, faster than real time: all of it is kept,
// and memory does not follow the samples. bench/long_day.mjs does the same for
// eight hours.
#include <gtest/gtest.h>

#include <sstream>
#include <string>
#include <vector>

#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

constexpr int kSleeves = 16;

struct Kept {
  std::size_t samples = 0;  // of every sleeve the same
  std::size_t bites = 0;
  std::int64_t most_kb = 0;  // resident
};

// The most that the program itself has had in memory; false when it has ended.
// (What wait4 tells counts the fork of this test too.)
bool SeeMemory(const Process& live, Kept& kept) {
  std::istringstream status(
      FileText("/proc/" + std::to_string(live.pid()) + "/status"));
  std::string word;
  while (status >> word) {
    if (word == "VmHWM:") return static_cast<bool>(status >> kept.most_kb);
  }
  return false;
}

// Every sleeve plays the example's day `times` times; each beginning anew is a
// restart of the device.
Kept Play(const Folder& folder, int times) {
  const std::string day = FileText(Example("capture.csv"));
  const std::size_t head = day.find('\n') + 1;  // past the header
  std::string text = day;
  for (int i = 1; i < times; ++i) text += day.substr(head);
  const std::string file = folder.Write("day.csv", text);
  const std::string book =
      CalibratedBook(folder, std::to_string(times) + ".book");
  std::vector<std::string> call = {"live", book, "--no-page", "--reconnect",
                                   "0"};
  for (int i = 0; i < kSleeves; ++i) {
    call.insert(call.end(), {"--from", "file:" + file});
  }
  Process live(call);
  Kept kept;
  EXPECT_TRUE(Eventually([&] { return !SeeMemory(live, kept); }, 120.0));
  const Said said = live.Wait();
  EXPECT_EQ(said.exit, 0) << said.err;
  const auto status = Masseter({"status", book, "--json"}).Json();
  EXPECT_EQ(status["captures"].size(), kSleeves);
  kept.samples = status["captures"][0]["samples"];
  kept.bites = status["captures"][0]["bites"];
  for (const auto& capture : status["captures"]) {
    EXPECT_EQ(capture["samples"], kept.samples);
    EXPECT_EQ(capture["bites"], kept.bites);
    EXPECT_EQ(capture["open"], false);
  }
  return kept;
}

// The pages are handed the newest thousand bites, so that much is kept; the
// first run has passed it, the second has four times as many.
TEST(LongRun, OfSixteenSleevesIsCompleteAndTakesNoMoreMemory) {
  constexpr int kTimes = 4;
  constexpr int kDays = 22;
  const Folder folder;
  const Kept day = Play(folder, 1);
  const Kept one = Play(folder, kDays);
  const Kept more = Play(folder, kTimes * kDays);
  EXPECT_GT(day.bites, 2U);
  EXPECT_GT(kSleeves * one.bites, 1000U);
  EXPECT_EQ(one.samples, kDays * day.samples);
  EXPECT_EQ(more.samples, kTimes * kDays * day.samples);
  // A bite may be joined or cut where the days meet.
  EXPECT_NEAR(static_cast<double>(more.bites),
              kTimes * kDays * static_cast<double>(day.bites),
              2.0 * kTimes * kDays);
  // Three kilobytes a bite, which is what one has in the logbook, would be
  // nine megabytes. Up to four of packed samples wait for a slow disk, or do
  // not.
  EXPECT_LT(more.most_kb - one.most_kb, 6000);
}

}  // namespace
}  // namespace masseter::integration
