// Many sleeves for longer than a day, faster than real time: all of it is kept,
// and memory does not follow the samples. bench/long_day.mjs does the same for
// eight hours.
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <string>
#include <vector>

#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

constexpr int kSleeves = 16;
constexpr int kDays = 16;

struct Kept {
  std::size_t samples = 0;  // of every sleeve the same
  std::size_t bites = 0;
  long most_kb = 0;  // resident, of any call so far
};

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
  const Said said = Masseter(call);
  EXPECT_EQ(said.exit, 0) << said.err;
  const auto status = Masseter({"status", book, "--json"}).Json();
  EXPECT_EQ(status["captures"].size(), kSleeves);
  Kept kept;
  kept.samples = status["captures"][0]["samples"];
  kept.bites = status["captures"][0]["bites"];
  for (const auto& capture : status["captures"]) {
    EXPECT_EQ(capture["samples"], kept.samples);
    EXPECT_EQ(capture["bites"], kept.bites);
    EXPECT_EQ(capture["open"], false);
  }
  rusage used = {};
  getrusage(RUSAGE_CHILDREN, &used);
  kept.most_kb = used.ru_maxrss;
  return kept;
}

TEST(LongRun, OfSixteenSleevesIsCompleteAndTakesNoMoreMemory) {
  const Folder folder;
  const Kept once = Play(folder, 1);
  const Kept long_run = Play(folder, kDays);
  EXPECT_GT(once.bites, 2U);
  EXPECT_EQ(long_run.samples, kDays * once.samples);
  // A bite may be joined or cut where the days meet.
  EXPECT_NEAR(static_cast<double>(long_run.bites),
              kDays * static_cast<double>(once.bites), 2.0 * kDays);
  // The samples alone, seven columns of eight bytes, would take this much more.
  const auto samples_kb = static_cast<double>(
      kSleeves * (long_run.samples - once.samples) * 7 * 8 / 1024);
  EXPECT_LT(static_cast<double>(long_run.most_kb - once.most_kb),
            0.2 * samples_kb);
}

}  // namespace
}  // namespace masseter::integration
