#include "device/sim/stream.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "device/sim/capture_testing.h"
#include "device/sim/scenario.h"

namespace masseter::sim {
namespace {

// One long steady bite from 1.0 s to 4.0 s, in a day of 6 s.
SimDay SteadyDay(double squeeze_n = 600.0) {
  SimDay day;
  day.dogs = {{}};
  SimBite bite;
  bite.start_s = 1.0;
  bite.shape.length_s = 3.0;
  bite.shape.squeeze_n = squeeze_n;
  bite.shape.rise_s = 0.3;
  day.bites.push_back(bite);
  day.length_s = 6.0;
  return day;
}

std::string Play(const SimSleeve& sleeve, const SimDay& day,
                 std::uint64_t seed) {
  SimStream stream(sleeve, day, seed);
  return stream.Next(day.length_s);
}

double SumNewtons(const SimSleeve& sleeve, const CaptureRow& row) {
  double sum = 0.0;
  for (std::size_t i = 0; i < row.words.size(); ++i) {
    sum += static_cast<double>(row.words[i]) /
           sleeve.CountsPerNewton(static_cast<int>(i));
  }
  return sum;
}

TEST(SimStream, PrintsTheSameBytesForTheSameSeedHoweverItIsCut) {
  const SimSleeve sleeve = MakeSleeve(3, 4);
  const SimDay day = SteadyDay();
  const std::string whole = Play(sleeve, day, 77);
  SimStream stream(sleeve, day, 77);
  std::string pieces;
  for (double t = 0.0; !stream.done(); t += 0.0137) pieces += stream.Next(t);
  EXPECT_EQ(pieces, whole);
  EXPECT_NE(Play(sleeve, day, 78), whole);
}

TEST(SimStream, PrintsAHeaderThenWholeNumbersInTheRigsOrder) {
  const SimSleeve sleeve = MakeSleeve(3, 3);
  const std::string text = Play(sleeve, SteadyDay(), 1);
  const auto lines = LinesOf(text);
  EXPECT_EQ(lines[0], "seq,t_us,c1,c2,c3,supply_mv");
  for (std::size_t i = 1; i < lines.size(); ++i) {
    ASSERT_TRUE(RowOf(lines[i], 3).has_value()) << lines[i];
  }
  EXPECT_EQ(text.back(), '\n');
}

TEST(SimStream, RunsAtItsTrueRateNotAtTheNominalOne) {
  SimSleeve sleeve = MakePerfectSleeve(4);
  sleeve.converter.rate_error = -0.0036;
  const auto rows = RowsOf(Play(sleeve, SteadyDay(), 1), 4);
  const double span_s =
      1e-6 * static_cast<double>(rows.back().t_us - rows.front().t_us);
  EXPECT_NEAR(static_cast<double>(rows.size() - 1) / span_s, 996.4, 0.01);
}

TEST(SimStream, TheClockWrapsAt2To32AndGoesOn) {
  SimSleeve sleeve = MakePerfectSleeve(4);
  sleeve.converter.clock_start_us = 0U - 2'000'000U;
  const auto rows = RowsOf(Play(sleeve, SteadyDay(), 1), 4);
  std::size_t wraps = 0;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    EXPECT_LT(rows[i].t_us, std::int64_t{1} << 32);
    const std::int64_t step = rows[i].t_us - rows[i - 1].t_us;
    if (step < 0) {
      ++wraps;
      EXPECT_EQ(step + (std::int64_t{1} << 32), 1000);
      EXPECT_EQ(i, 2000U);
    }
  }
  EXPECT_EQ(wraps, 1U);
}

TEST(SimStream, TimeStampsJitterByTheAskedAmount) {
  SimSleeve sleeve = MakePerfectSleeve(4);
  sleeve.converter.jitter_us = 12.0;
  const auto rows = RowsOf(Play(sleeve, SteadyDay(), 1), 4);
  double square = 0.0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double late =
        static_cast<double>(rows[i].t_us) - 1000.0 * static_cast<double>(i);
    square += late * late / static_cast<double>(rows.size());
  }
  // |N(0, s)| has root mean square s; four standard errors and rounding.
  EXPECT_NEAR(std::sqrt(square), 12.0, 12.0 * 4 / std::sqrt(2.0 * 6000) + 0.1);
}

TEST(SimStream, APerfectSleevesCellsAddUpToTheTrueForce) {
  const SimSleeve sleeve = MakePerfectSleeve(4);
  const SimDay day = SteadyDay();
  std::vector<SimSample> samples;
  StreamOptions options;
  options.on_sample = [&](const SimSample& s) { samples.push_back(s); };
  SimStream stream(sleeve, day, 1, options);
  const auto rows = RowsOf(stream.Next(day.length_s), 4);
  ASSERT_EQ(rows.size(), samples.size());
  for (std::size_t i = 2000; i < 3500; ++i) {  // rise over, release not begun
    EXPECT_DOUBLE_EQ(samples[i].true_force_n, 600.0);
    EXPECT_NEAR(SumNewtons(sleeve, rows[i]), 600.0, 0.01);
  }
}

TEST(SimStream, ARealisticSleeveMissesTheForceByAFewPerCentAtMost) {
  SimDay day = SteadyDay();
  day.bites[0].shape.grip = {45.0, 8.0, 12.0, 14.0};
  const SimSleeve sleeve = MakeSleeve(4, 4);
  const auto rows = RowsOf(Play(sleeve, day, 1), 4);
  const double net =
      SumNewtons(sleeve, rows[3000]) - SumNewtons(sleeve, rows[500]);
  EXPECT_LT(net, 600.0);
  EXPECT_GT(net, 600.0 * 0.93);
}

TEST(SimStream, ForcesBeyondTheScaleStandAtItsEnd) {
  SimSleeve sleeve = MakePerfectSleeve(1);
  sleeve.converter.gain = 512.0;
  const auto rows = RowsOf(Play(sleeve, SteadyDay(2000.0), 1), 1);
  EXPECT_EQ(rows[2500].words[0], 8388607);
  EXPECT_LT(rows[500].words[0], 1000);
}

TEST(SimStream, TheSupplyFallsAndDipsWithEveryRadioBurst) {
  SimSleeve sleeve = MakePerfectSleeve(4);
  sleeve.supply.start_mv = 4000.0;
  sleeve.supply.fall_mv_per_min = 60.0;
  sleeve.supply.pulse_mv = 90.0;
  const auto rows = RowsOf(Play(sleeve, SteadyDay(), 1), 4);
  EXPECT_EQ(rows[0].supply_mv, 3910);
  EXPECT_EQ(rows[50].supply_mv, 4000);
  EXPECT_EQ(rows[5050].supply_mv, 3995);
}

TEST(PlayDay, WaitsBeforeEveryPieceAndStopsWhenTold) {
  SimStream stream(MakePerfectSleeve(4), SteadyDay(), 1);
  double waited = 0.0;
  std::string text;
  const auto played = PlayDay(
      stream, 0.02,
      [&](double t) {
        waited = t;
        return t < 1.0;
      },
      [&](std::string_view piece) -> Expected<void> {
        text += piece;
        return {};
      });
  EXPECT_TRUE(played.has_value());
  EXPECT_GE(waited, 1.0);
  const auto rows = RowsOf(text, 4);
  EXPECT_NEAR(static_cast<double>(rows.size()), 980.0, 21.0);
}

TEST(PlayDay, EndsWithTheSinksError) {
  SimStream stream(MakePerfectSleeve(4), SteadyDay(), 1);
  const auto played = PlayDay(
      stream, 0.5, [](double) { return true; },
      [](std::string_view) -> Expected<void> {
        return MachineFailure("sink", "the disk is full");
      });
  ASSERT_FALSE(played.has_value());
  EXPECT_EQ(played.error().Text(), "sink: the disk is full");
}

}  // namespace
}  // namespace masseter::sim
