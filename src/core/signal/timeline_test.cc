#include "core/signal/timeline.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace masseter {
namespace {

Rig OneChannel(double rate_hz) {
  Rig rig;
  rig.name = "bench";
  rig.sample_rate_hz = rate_hz;
  Channel channel;
  channel.name = "c1";
  rig.channels.push_back(channel);
  return rig;
}

// One row: what the counter, the clock and the channel say.
struct Row {
  std::int64_t seq = 0;
  std::int64_t ticks = 0;
  std::int64_t value = 0;
};

constexpr std::int64_t kTwoTo32 = 4294967296;

enum class Told { kClock, kCounter, kBoth, kNeither };

RawBlock Block(const std::vector<Row>& rows, Told told,
               Role clock = Role::kTimeUs) {
  RawBlock block;
  block.rows = rows.size();
  const auto add = [&](ColumnRole role, std::int64_t Row::*field) {
    std::vector<std::int64_t> values;
    for (const Row& row : rows) values.push_back(row.*field);
    block.layout.push_back(role);
    block.columns.emplace_back(std::move(values));
  };
  if (told == Told::kCounter || told == Told::kBoth) {
    add({Role::kSequence, -1}, &Row::seq);
  }
  if (told == Told::kClock || told == Told::kBoth)
    add({clock, -1}, &Row::ticks);
  add({Role::kChannel, 0}, &Row::value);
  return block;
}

struct Outcome {
  SampleBlock samples;
  TimelineReport report;
};

Outcome Follow(const std::vector<Row>& rows, Told told, double rate_hz = 1000.0,
               Role clock = Role::kTimeUs) {
  const Rig rig = OneChannel(rate_hz);
  Timeline timeline(rig);
  Outcome out;
  timeline.Push(Block(rows, told, clock), out.samples);
  out.report = timeline.report();
  return out;
}

// Rows of a device at 1 kHz from counter `seq` and clock `us` on.
std::vector<Row> Steady(std::int64_t seq, std::int64_t us, int n) {
  std::vector<Row> rows;
  for (int i = 0; i < n; ++i) rows.push_back({seq + i, us + 1000 * i, i});
  return rows;
}

void Append(std::vector<Row>& rows, const std::vector<Row>& more) {
  rows.insert(rows.end(), more.begin(), more.end());
}

void ExpectEvenTime(const Outcome& out, std::size_t n, double period_s) {
  ASSERT_EQ(out.samples.size(), n);
  ASSERT_EQ(out.samples.channel.at(0).size(), n);
  for (std::size_t i = 0; i < n; ++i) {
    ASSERT_NEAR(out.samples.t_s[i], static_cast<double>(i) * period_s, 1e-9)
        << i;
  }
  EXPECT_EQ(out.report.gaps, 0U);
  EXPECT_EQ(out.report.late, 0U);
}

TEST(Timeline, UnwrapsAClockThatWrapsAt2To32) {
  for (const Told told : {Told::kClock, Told::kBoth}) {
    std::vector<Row> rows = Steady(100, kTwoTo32 - 50 * 1000 + 17, 200);
    for (Row& row : rows) row.ticks %= kTwoTo32;
    const Outcome out = Follow(rows, told);
    ExpectEvenTime(out, 200, 1e-3);
    EXPECT_EQ(out.report.clock_wraps, 1U);
  }
}

TEST(Timeline, AClockThatWrapsAfterALongGapIsBelievedWhenTheCounterGoesOn) {
  // 60 s without samples across the wrap: far outside 5 s, inside 600 s.
  std::vector<Row> rows = Steady(1000, kTwoTo32 - 10 * 1000, 5);
  Append(rows,
         Steady(1005 + 60000, (kTwoTo32 - 5 * 1000 + 60000000) % kTwoTo32, 5));
  const Outcome counted = Follow(rows, Told::kBoth);
  EXPECT_EQ(counted.report.clock_wraps, 1U);
  ASSERT_EQ(counted.report.breaks.size(), 1U);
  EXPECT_EQ(counted.report.breaks[0].kind, Break::kGap);
  EXPECT_EQ(counted.report.breaks[0].missing, 60000U);
  EXPECT_NEAR(counted.report.breaks[0].duration_s, 60.001, 1e-9);

  const Outcome alone = Follow(rows, Told::kClock);
  EXPECT_EQ(alone.report.clock_wraps, 0U);
  ASSERT_EQ(alone.report.breaks.size(), 1U);
  EXPECT_EQ(alone.report.breaks[0].kind, Break::kRestart);
}

TEST(Timeline, UnwrapsCountersOf8And16And32Bits) {
  for (const std::int64_t range :
       {std::int64_t{256}, std::int64_t{65536}, kTwoTo32}) {
    std::vector<Row> rows = Steady(range - 40, 0, 100);
    for (Row& row : rows) row.seq %= range;
    ExpectEvenTime(Follow(rows, Told::kCounter), 100, 1e-3);
    ExpectEvenTime(Follow(rows, Told::kBoth), 100, 1e-3);
  }
}

TEST(Timeline, ARowThatComesTwiceRightAfterACounterWrapIsLeftOut) {
  std::vector<Row> rows;
  for (std::int64_t i = 250; i < 262; ++i) {
    rows.push_back({i % 256, i * 1000, i});
  }
  rows.insert(rows.begin() + 7, {255, 255000, 255});  // 255, 0, 255, 1
  for (const Told told : {Told::kCounter, Told::kBoth}) {
    const Outcome out = Follow(rows, told);
    EXPECT_EQ(out.report.late, 1U);
    EXPECT_EQ(out.report.gaps, 0U);
    EXPECT_EQ(out.report.samples, 12U);
  }
}

TEST(Timeline, ALongGapRightAfterACounterWrapStaysAGapWhenTheClockSaysSo) {
  std::vector<Row> rows;
  for (std::int64_t i = 250; i < 520; ++i) {
    if (i > 256 && i < 511) continue;  // 254 samples lost: 0, 255, 0, ...
    rows.push_back({i % 256, i * 1000, i});
  }
  const Outcome out = Follow(rows, Told::kBoth);
  EXPECT_EQ(out.report.late, 0U);
  EXPECT_EQ(out.report.gaps, 1U);
}

TEST(Timeline, CountsWhatIsMissingAcrossACounterWrap) {
  std::vector<Row> rows = Steady(65536 - 10, 0, 8);
  Append(rows, Steady(5, 15000, 4));  // 65533 .. 65535 and 0 .. 4 are missing
  rows[8].seq = 5;
  const Outcome out = Follow(rows, Told::kCounter);
  ASSERT_EQ(out.report.breaks.size(), 1U);
  EXPECT_EQ(out.report.breaks[0].kind, Break::kGap);
  EXPECT_EQ(out.report.breaks[0].missing, 7U);
  EXPECT_NEAR(out.samples.t_s[8] - out.samples.t_s[7], 0.008, 1e-12);
}

TEST(Timeline, SeesARestartByTheClockAlone) {
  std::vector<Row> rows = Steady(0, 7000000, 20);
  Append(rows, Steady(20, 3000, 20));
  const Outcome out = Follow(rows, Told::kClock);
  ASSERT_EQ(out.samples.size(), 40U);
  ASSERT_EQ(out.report.breaks.size(), 1U);
  EXPECT_EQ(out.report.breaks[0].kind, Break::kRestart);
  EXPECT_EQ(out.report.breaks[0].row, 20U);
  EXPECT_EQ(out.report.breaks[0].duration_s, 0.0);
  EXPECT_EQ(out.samples.before[20], Break::kRestart);
  // The pause is not in the data: time goes on by one period.
  EXPECT_NEAR(out.samples.t_s[20] - out.samples.t_s[19], 1e-3, 1e-6);
}

TEST(Timeline, SeesARestartByTheCounterAlone) {
  std::vector<Row> rows = Steady(5000, 0, 20);
  Append(rows, Steady(0, 0, 20));
  const Outcome out = Follow(rows, Told::kCounter);
  ASSERT_EQ(out.samples.size(), 40U);
  ASSERT_EQ(out.report.breaks.size(), 1U);
  EXPECT_EQ(out.report.breaks[0].kind, Break::kRestart);
  EXPECT_NEAR(out.samples.t_s[20] - out.samples.t_s[19], 1e-3, 1e-12);
}

TEST(Timeline, SeesARestartOfClockAndCounterTogether) {
  std::vector<Row> rows = Steady(90000, 90000000, 20);
  Append(rows, Steady(0, 1500, 20));
  const Outcome out = Follow(rows, Told::kBoth);
  ASSERT_EQ(out.report.breaks.size(), 1U);
  EXPECT_EQ(out.report.breaks[0].kind, Break::kRestart);
  EXPECT_EQ(out.report.late, 0U);
}

TEST(Timeline, CountsAGapByCounterAndByClock) {
  std::vector<Row> rows = Steady(100, 0, 50);
  Append(rows, Steady(161, 61000, 50));  // 150 .. 160 are missing
  for (const Told told : {Told::kCounter, Told::kClock, Told::kBoth}) {
    const Outcome out = Follow(rows, told);
    ASSERT_EQ(out.report.breaks.size(), 1U);
    EXPECT_EQ(out.report.gaps, 1U);
    EXPECT_EQ(out.report.breaks[0].kind, Break::kGap);
    EXPECT_EQ(out.report.breaks[0].row, 50U);
    EXPECT_EQ(out.report.breaks[0].missing, 11U);
    EXPECT_NEAR(out.report.breaks[0].duration_s, 0.012, 1e-9);
    EXPECT_NEAR(out.report.last_s, 0.110, 1e-9);
  }
}

TEST(Timeline, AClockThatSkipsWhileTheCounterGoesOnIsAGapToo) {
  std::vector<Row> rows = Steady(100, 0, 50);
  Append(rows, Steady(150, 250000, 50));  // 200 ms in which nothing was taken
  const Outcome out = Follow(rows, Told::kBoth);
  ASSERT_EQ(out.report.breaks.size(), 1U);
  EXPECT_EQ(out.report.breaks[0].kind, Break::kGap);
  EXPECT_EQ(out.report.breaks[0].missing, 200U);
}

TEST(Timeline, LeavesRowsOutThatComeTwiceOrLate) {
  for (const Told told : {Told::kCounter, Told::kClock, Told::kBoth}) {
    std::vector<Row> rows = Steady(100, 100000, 30);
    // A row that comes again five rows later; with the clock alone a row
    // with the time of the one before is a sample of a coarse clock.
    rows.insert(rows.begin() + 20, rows[15]);
    const Outcome out = Follow(rows, told);
    EXPECT_EQ(out.report.late, 1U);
    EXPECT_EQ(out.report.gaps, 0U);
    ASSERT_EQ(out.samples.size(), 30U);
    EXPECT_EQ(out.samples.channel[0][20], 20.0);
    EXPECT_NEAR(out.samples.t_s[29], 0.029, 1e-9);
  }
}

TEST(Timeline, ALateRowAmongTheFirstIsNoRestart) {
  std::vector<Row> rows = Steady(0, 0, 30);
  rows.insert(rows.begin() + 8, rows[5]);
  for (const Told told : {Told::kCounter, Told::kBoth}) {
    const Outcome out = Follow(rows, told);
    EXPECT_EQ(out.report.late, 1U);
    EXPECT_EQ(out.report.gaps, 0U);
    EXPECT_EQ(out.samples.size(), 30U);
  }
}

TEST(Timeline, WithoutAClockTimeIsTheNominalRate) {
  const Outcome out = Follow(Steady(0, 0, 100), Told::kNeither, 320.0);
  ExpectEvenTime(out, 100, 1.0 / 320.0);
  EXPECT_FALSE(out.report.has_time);
}

TEST(Timeline, FollowsAClockThatDisagreesWithTheNominalRate) {
  std::vector<Row> rows;
  for (int i = 0; i < 5000; ++i) rows.push_back({i, i * 1042, i});
  const Outcome out = Follow(rows, Told::kClock);  // 960 Hz told as 1000
  EXPECT_TRUE(out.report.has_time);
  EXPECT_EQ(out.report.gaps, 0U);
  EXPECT_NEAR(out.report.period_s, 1.042e-3, 2e-6);
  EXPECT_NEAR(out.report.last_s, 4999 * 1.042e-3, 1e-9);
}

TEST(Timeline, MillisecondsAt1KilohertzMaySkipAndStandStill) {
  // A clock of whole milliseconds beside 1 kHz: steps of 0, 1 and 2.
  std::vector<Row> rows;
  std::int64_t ms = 50;
  for (int i = 0; i < 20000; ++i) {
    rows.push_back({i, ms, i});
    ms += i % 10 == 3 ? 0 : (i % 10 == 7 ? 2 : 1);
  }
  for (const Told told : {Told::kClock, Told::kBoth}) {
    const Outcome out = Follow(rows, told, 1000.0, Role::kTimeMs);
    ASSERT_EQ(out.samples.size(), 20000U);
    EXPECT_EQ(out.report.gaps, 0U);
    EXPECT_EQ(out.report.late, 0U);
    EXPECT_NEAR(out.report.period_s, 1e-3, 1e-5);
  }
}

TEST(Timeline, MillisecondsAt4KilohertzKeepThePeriod) {
  std::vector<Row> rows;
  for (int i = 0; i < 20000; ++i) rows.push_back({i, i / 4, i});
  const Outcome out = Follow(rows, Told::kClock, 4000.0, Role::kTimeMs);
  EXPECT_EQ(out.samples.size(), 20000U);
  EXPECT_EQ(out.report.gaps, 0U);
  EXPECT_NEAR(out.report.period_s, 0.25e-3, 0.25e-5);
}

TEST(Timeline, SecondsWithAFractionAreAClock) {
  const Rig rig = OneChannel(450.0);
  RawBlock block;
  std::vector<double> t;
  std::vector<double> v;
  for (int i = 0; i < 100; ++i) {
    t.push_back(3.5 + i / 450.0);
    v.push_back(i);
  }
  block.rows = t.size();
  block.layout = {{Role::kTimeS, -1}, {Role::kChannel, 0}};
  block.columns = {t, v};
  Timeline timeline(rig);
  SampleBlock out;
  timeline.Push(block, out);
  EXPECT_NEAR(out.t_s.at(0), 0.0, 1e-15);
  EXPECT_NEAR(out.t_s.at(99), 99 / 450.0, 1e-9);
  EXPECT_EQ(timeline.report().gaps, 0U);
}

// A capture with everything in it that a block border could spoil.
std::vector<Row> Eventful() {
  std::vector<Row> rows = Steady(65536 - 300, kTwoTo32 - 900 * 1000, 200);
  Append(rows, Steady(65536 - 90, kTwoTo32 - 690 * 1000, 80));
  rows.insert(rows.begin() + 250, rows[245]);
  Append(rows, Steady(65536 - 10, kTwoTo32 - 610 * 1000, 700));
  Append(rows, Steady(0, 2000, 300));
  Append(rows, Steady(350, 352000, 50));
  for (std::size_t i = 0; i < rows.size(); ++i) {
    rows[i].seq %= 65536;
    rows[i].ticks %= kTwoTo32;
    rows[i].value = static_cast<std::int64_t>(i);
  }
  return rows;
}

TEST(Timeline, AnyCutIntoBlocksGivesTheSameSamples) {
  const std::vector<Row> rows = Eventful();
  for (const Told told : {Told::kClock, Told::kCounter, Told::kBoth}) {
    const Outcome whole = Follow(rows, told);
    ASSERT_GT(whole.report.gaps, 1U);
    for (const std::size_t size : {1U, 2U, 7U, 64U, 333U}) {
      const Rig rig = OneChannel(1000.0);
      Timeline timeline(rig);
      SampleBlock out;
      for (std::size_t a = 0; a < rows.size(); a += size) {
        const std::size_t b = std::min(rows.size(), a + size);
        timeline.Push(Block({rows.begin() + static_cast<std::ptrdiff_t>(a),
                             rows.begin() + static_cast<std::ptrdiff_t>(b)},
                            told),
                      out);
      }
      EXPECT_EQ(out.t_s, whole.samples.t_s) << size;
      EXPECT_EQ(out.before, whole.samples.before) << size;
      EXPECT_EQ(out.channel, whole.samples.channel) << size;
      EXPECT_EQ(timeline.report().late, whole.report.late);
      EXPECT_EQ(timeline.report().gaps, whole.report.gaps);
      EXPECT_EQ(timeline.report().clock_wraps, whole.report.clock_wraps);
    }
  }
}

TEST(Timeline, TimeNeverRunsBackwards) {
  for (const Told told : {Told::kClock, Told::kCounter, Told::kBoth}) {
    const Outcome out = Follow(Eventful(), told);
    EXPECT_TRUE(std::is_sorted(out.samples.t_s.begin(), out.samples.t_s.end()));
  }
}

TEST(Timeline, LiveARestartKeepsThePauseThatTheHostSaw) {
  const Rig rig = OneChannel(1000.0);
  Timeline timeline(rig);
  SampleBlock out;
  RawBlock first = Block(Steady(0, 5000000, 50), Told::kClock);
  first.host_time_s = 1000.0;
  RawBlock second = Block(Steady(0, 2000, 20), Told::kClock);
  second.host_time_s = 1003.019;  // its first row was taken 3 s after the last
  timeline.Push(first, out);
  timeline.Push(second, out);
  ASSERT_EQ(out.size(), 70U);
  EXPECT_EQ(out.before[50], Break::kRestart);
  EXPECT_NEAR(out.t_s[50] - out.t_s[49], 3.0, 1e-6);
}

TEST(Timeline, AnotherBootNumberIsARestartWhateverCounterAndClockSay) {
  // Counter and clock go on as if nothing had happened.
  RawBlock block = Block(Steady(0, 1000, 40), Told::kBoth);
  std::vector<std::int64_t> boots(40, 7);
  std::fill(boots.begin() + 25, boots.end(), 8);
  block.layout.push_back({Role::kBoot, -1});
  block.columns.emplace_back(std::move(boots));
  Timeline timeline(OneChannel(1000.0));
  SampleBlock out;
  timeline.Push(block, out);
  ASSERT_EQ(out.size(), 40U);
  EXPECT_EQ(timeline.report().gaps, 1U);
  EXPECT_EQ(out.before[25], Break::kRestart);
}

}  // namespace
}  // namespace masseter
