// Every fault must show in the text and stand in the truth.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string>
#include <vector>

#include "device/sim/capture_testing.h"
#include "device/sim/scenario.h"
#include "device/sim/stream.h"
#include "device/sim/truth.h"

namespace masseter::sim {
namespace {

struct Played {
  std::string text;
  std::vector<CaptureRow> rows;
  Truth truth;
};

// A steady bite of 600 N from 1 s to 4 s in a day of 6 s, with one fault.
Played PlayWith(const Fault& fault) {
  SimDay day;
  day.dogs = {{}};
  SimBite bite;
  bite.start_s = 1.0;
  bite.shape.length_s = 3.0;
  bite.shape.squeeze_n = 600.0;
  bite.shape.rise_s = 0.3;
  day.bites.push_back(bite);
  day.length_s = 6.0;
  day.faults.push_back(fault);
  SimSleeve sleeve = MakePerfectSleeve(4);
  for (SimCell& cell : sleeve.cells) cell.noise_n = 0.1;
  SimStream stream(sleeve, day, 5);
  Played played;
  played.text = stream.Next(day.length_s);
  played.rows = RowsOf(played.text, 4);
  played.truth = stream.MakeTruth();
  return played;
}

void ExpectNamed(const Played& played, FaultKind kind, double start_s,
                 double end_s) {
  ASSERT_EQ(played.truth.faults.size(), 1U);
  EXPECT_EQ(played.truth.faults[0].kind, kind);
  EXPECT_NEAR(played.truth.faults[0].start_s, start_s, 1e-3);
  EXPECT_NEAR(played.truth.faults[0].end_s, end_s, 1e-3);
  ASSERT_EQ(played.truth.bites[0].faults.size(), 1U);
  EXPECT_EQ(played.truth.bites[0].faults[0].kind, kind);
  const std::string json = TruthJson(played.truth);
  EXPECT_NE(json.find("\"kind\":\"" + std::string(FaultWord(kind)) + "\""),
            std::string::npos);
  EXPECT_EQ(played.rows.size(), played.truth.samples);
}

TEST(Fault, AGapLosesLinesWhileCounterAndClockGoOn) {
  const Played p = PlayWith({FaultKind::kGap, 1.9995, 0.081, 0, 0.0});
  ExpectNamed(p, FaultKind::kGap, 1.9995, 2.0805);
  EXPECT_EQ(p.rows[1999].seq, 1999);
  EXPECT_EQ(p.rows[2000].seq, 2081);
  EXPECT_EQ(p.rows[2000].t_us - p.rows[1999].t_us, 82000);
}

TEST(Fault, ARestartBeginsCounterAndClockAnewAndIsNotSettledAtOnce) {
  const Played p = PlayWith({FaultKind::kRestart, 1.9995, 0.5, 0, 0.0});
  EXPECT_EQ(p.rows[1999].seq, 1999);
  EXPECT_EQ(p.rows[2000].seq, 0);
  EXPECT_EQ(p.rows[2000].t_us, 180000);
  EXPECT_EQ(p.rows.size(), 6001U - 500U);
  EXPECT_LT(p.rows[1999].supply_mv, 3400);
  EXPECT_GT(p.rows[1900].supply_mv, 3400);
  // Irwin-Hall step answer of four cascaded means: 1/24, 1/2, 23/24, 1.
  const auto settled = static_cast<double>(p.rows[2010].words[0]);
  EXPECT_NEAR(static_cast<double>(p.rows[2000].words[0]) / settled, 1.0 / 24,
              0.01);
  EXPECT_NEAR(static_cast<double>(p.rows[2001].words[0]) / settled, 0.5, 0.01);
  EXPECT_NEAR(static_cast<double>(p.rows[2003].words[0]) / settled, 1.0, 0.01);
}

// Contract: where the device restarted, time goes on one sample period after
// the last sample; the pause is not in the data.
TEST(Fault, AfterARestartTruthTimeGoesOnOneSamplePeriodLater) {
  const Played p = PlayWith({FaultKind::kRestart, 1.9995, 0.5, 0, 0.0});
  ExpectNamed(p, FaultKind::kRestart, 1.999, 1.999);
  EXPECT_NEAR(p.truth.faults[0].pause_s, 0.5, 1e-12);
  EXPECT_NEAR(p.truth.bites[0].start_s, 1.0, 1e-3);
  // The bite lasts to 4 s of the day; the first sample after the pause was
  // taken at 2.500 s and is called 2.000 s.
  EXPECT_NEAR(p.truth.bites[0].end_s, 3.5, 1e-3);
}

TEST(Fault, ASagDipsUnderTheMinimumWithoutLosingASample) {
  const Played p = PlayWith({FaultKind::kSag, 2.0, 0.3, 0, 0.0});
  ExpectNamed(p, FaultKind::kSag, 2.0, 2.3);
  EXPECT_EQ(p.rows.size(), 6001U);
  EXPECT_LT(p.rows[2150].supply_mv, 3400);
  EXPECT_GT(p.rows[2350].supply_mv, 3400);
}

TEST(Fault, ARailStandsAtTheEndOfTheScale) {
  const Played p = PlayWith({FaultKind::kRail, 2.0005, 0.2, 2, -1.0});
  ExpectNamed(p, FaultKind::kRail, 2.0005, 2.2005);
  EXPECT_EQ(p.truth.faults[0].channel, "c3");
  EXPECT_EQ(p.rows[2100].words[2], -8388608);
  EXPECT_NE(p.rows[2250].words[2], -8388608);
}

TEST(Fault, AStuckChannelRepeatsOneWordToTheBit) {
  const Played p = PlayWith({FaultKind::kStuck, 2.0005, 0.5, 1, 0.0});
  ExpectNamed(p, FaultKind::kStuck, 2.0005, 2.5005);
  std::set<std::int64_t> stuck;
  std::set<std::int64_t> free;
  for (std::size_t i = 2000; i < 2500; ++i) {
    stuck.insert(p.rows[i].words[1]);
    free.insert(p.rows[i].words[0]);
  }
  EXPECT_EQ(stuck.size(), 1U);
  EXPECT_GT(free.size(), 100U);
}

TEST(Fault, AGlitchIsAWordOfTheForm2ToTheKMinus1) {
  const Played p = PlayWith({FaultKind::kGlitch, 2.0, 0.5, 3, 0.0});
  ExpectNamed(p, FaultKind::kGlitch, 2.0, 2.5);
  int glitches = 0;
  for (std::size_t i = 2000; i < 2500; ++i) {
    const std::int64_t word = p.rows[i].words[3];
    if (word > 0 && (word & (word + 1)) == 0) ++glitches;
  }
  EXPECT_GT(glitches, 20);
  EXPECT_LT(glitches, 100);
}

TEST(Fault, ALooseChannelMakesAndBreaks) {
  const Played p = PlayWith({FaultKind::kLoose, 2.0, 1.0, 0, 0.0});
  ExpectNamed(p, FaultKind::kLoose, 2.0, 3.0);
  const double whole = static_cast<double>(p.rows[1900].words[0]);
  int made = 0;
  int broken = 0;
  for (std::size_t i = 2000; i < 3000; ++i) {
    const double off = static_cast<double>(p.rows[i].words[0]) - whole;
    ++(std::abs(off) < 2000.0 ? made : broken);
  }
  EXPECT_GT(made, 100);
  EXPECT_GT(broken, 100);
}

TEST(Fault, AZeroJumpStaysToTheEndOfTheDay) {
  const Played p = PlayWith({FaultKind::kZero, 2.0, 0.0, 2, 14.0});
  ExpectNamed(p, FaultKind::kZero, 2.0, 6.0);
  const double per_n = MakePerfectSleeve(4).CountsPerNewton(2);
  EXPECT_NEAR(static_cast<double>(p.rows[500].words[2]) / per_n, 0.0, 0.6);
  EXPECT_NEAR(static_cast<double>(p.rows[5500].words[2]) / per_n, 14.0, 0.6);
}

TEST(Fault, BrokenLinesAreCutOrRunTogetherAndNeverParse) {
  const Played p = PlayWith({FaultKind::kBrokenLine, 2.0, 0.02, 0, 0.0});
  ExpectNamed(p, FaultKind::kBrokenLine, 2.0, 2.02);
  std::size_t cut = 0;
  std::size_t merged = 0;
  for (const std::string_view line : LinesOf(p.text)) {
    if (line.starts_with("seq") || RowOf(line, 4)) continue;
    const auto commas = std::count(line.begin(), line.end(), ',');
    ++(commas < 6 ? cut : merged);
  }
  EXPECT_GT(cut, 1U);
  EXPECT_GT(merged, 1U);
  EXPECT_EQ(cut + merged, p.truth.broken_lines);
}

TEST(Truth, FiguresAreThoseOfTheTrueForceInCaptureTime) {
  const Scenario scenario = DemoScenario();
  std::vector<SimSample> samples;
  StreamOptions options;
  options.on_sample = [&](const SimSample& s) { samples.push_back(s); };
  SimStream stream(scenario.sleeve, scenario.day, scenario.seed, options);
  stream.Next(scenario.day.length_s);
  EXPECT_TRUE(stream.done());
  const Truth truth = stream.MakeTruth();
  ASSERT_EQ(truth.bites.size(), 18U);
  for (const TrueBite& bite : truth.bites) {
    double impulse = 0.0;
    double highest = 0.0;
    for (const SimSample& s : samples) {
      if (s.capture_s < bite.start_s - 0.001) continue;
      if (s.capture_s > bite.end_s + 0.001) break;
      impulse += s.true_force_n / truth.sample_rate_hz;
      if (s.whole) highest = std::max(highest, s.true_force_n);
    }
    EXPECT_DOUBLE_EQ(highest, bite.seen_peak_n);
    const auto has = [&](FaultKind kind) {
      return std::any_of(bite.faults.begin(), bite.faults.end(),
                         [&](const TrueFault& f) { return f.kind == kind; });
    };
    if (has(FaultKind::kRestart)) {
      EXPECT_LT(bite.seen_peak_n, bite.figures.peak_n);
      continue;
    }
    EXPECT_NEAR(impulse, bite.figures.impulse_ns, 0.003 * impulse);
    if (has(FaultKind::kGap)) continue;
    // Between samples 1 ms apart the strike loses at most
    // 1 - cos(pi 1 ms / (2 80 ms)) = 0.02 %.
    EXPECT_NEAR(bite.seen_peak_n, bite.figures.peak_n,
                0.0003 * bite.figures.peak_n);
  }
}

TEST(TimeMap, GoesThereAndBackAcrossARestart) {
  TimeMap map;
  map.Begin({0.0, 10.0, 0.0, 1.00002});
  map.Begin({12.0, 20.0, 10.0012, 1.00002});
  for (const double day : {0.5, 9.9, 12.0, 15.5, 19.0}) {
    EXPECT_NEAR(map.ToDay(map.ToCapture(day)), day, 1e-9);
  }
  EXPECT_DOUBLE_EQ(map.ToCapture(11.0), map.ToCapture(10.0));
  EXPECT_TRUE(map.Dark(11.0));
  EXPECT_FALSE(map.Dark(9.0));
}

}  // namespace
}  // namespace masseter::sim
