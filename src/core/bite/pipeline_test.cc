#include "core/bite/pipeline.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "core/bite/bite_testing.h"

namespace masseter {
namespace {

using testing_bite::BiteSpec;
using testing_bite::CalibrationOf;
using testing_bite::Device;
using testing_bite::ForceOfTime;
using testing_bite::OnOneCell;
using testing_bite::OnPlate;
using testing_bite::Rows;
using testing_bite::RunPipeline;
using testing_bite::Sum;
using testing_plate::FourCellRig;
using testing_plate::OneCellRig;
using testing_plate::Plate;

class SleeveOfFourCells : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    calibration_ = new Calibration(CalibrationOf(Plate{}));
  }
  static void TearDownTestSuite() { delete calibration_; }

  std::vector<MeasuredBite> Run(const Rows& rows, std::size_t block = 256) {
    return RunPipeline(FourCellRig(plate_), calibration_, rows, block);
  }
  Rows Capture(double duration_s, const ForceOfTime& force,
               Place at = {15.0, 5.0}) {
    return OnPlate(plate_, at, duration_s, force, Device{});
  }

  Plate plate_;
  static const Calibration* calibration_;
};
const Calibration* SleeveOfFourCells::calibration_ = nullptr;

TEST_F(SleeveOfFourCells, FindsEveryBiteOnceAndMeasuresIt) {
  const BiteSpec first{2.0, 1.5, 900.0, 0.10, 500.0};
  const BiteSpec second{6.0, 2.5, 400.0, 0.12, 600.0};
  const BiteSpec third{11.0, 0.3, 250.0, 0.15, 100.0};
  const auto bites = Run(Capture(14.0, Sum({first, second, third})));
  ASSERT_EQ(bites.size(), 3U);
  const Bite& a = bites[0].bite;
  EXPECT_NEAR(a.start_s, 2.0, 0.005);
  EXPECT_NEAR(a.duration_s, 1.5, 0.03);
  ASSERT_TRUE(a.peak_n && a.peak_u95_n && a.squeeze_n && a.strike_n);
  EXPECT_NEAR(*a.peak_n, 900.0, *a.peak_u95_n);
  EXPECT_NEAR(a.peak_at_s, 2.05, 0.003);
  EXPECT_EQ(*a.strike_n, *a.peak_n);
  EXPECT_NEAR(*a.squeeze_n, 500.0, *a.squeeze_u95_n);
  EXPECT_NEAR(*a.x_mm, 15.0, 3.0);
  EXPECT_NEAR(*a.y_mm, 5.0, 3.0);
  // The dip from strike to squeeze and the plain hold are neither.
  EXPECT_EQ(a.regrips, 0);
  EXPECT_FALSE(a.shake_hz.has_value());
  EXPECT_EQ(a.verdict, Verdict::kSound);
  EXPECT_FALSE(a.at_least);
  EXPECT_TRUE(a.reasons.empty());
  // 10 % to 90 % of a half-sine's quarter turn: asin 0.1 to asin 0.9 of
  // T / pi = 31.8 ms: 32.5 ms (closed form; 60 Hz of filter adds little).
  EXPECT_NEAR(*a.rise_s, 0.0325, 0.004);
  const Bite& b = bites[1].bite;
  EXPECT_NEAR(*b.peak_n, 600.0, *b.peak_u95_n);
  EXPECT_NEAR(*b.strike_n, 600.0, 10.0);  // the squeeze is there by 0.15 s
  const Bite& c = bites[2].bite;
  EXPECT_NEAR(*c.peak_n, 250.0, *c.peak_u95_n);
  EXPECT_FALSE(c.squeeze_n.has_value());
  EXPECT_NE(*c.rise_s, *a.rise_s);
}

TEST_F(SleeveOfFourCells, TheImpulseIsTheIntegralOfTheForce) {
  const BiteSpec spec;
  const auto bites = Run(Capture(6.0, spec));
  ASSERT_EQ(bites.size(), 1U);
  double integral = 0.0;
  for (double t = 0.0; t < 6.0; t += 1e-4) integral += spec(t) * 1e-4;
  EXPECT_NEAR(*bites[0].bite.impulse_ns, integral, 0.015 * integral);
}

TEST_F(SleeveOfFourCells, APatOfFiveNewtonsIsNoBite) {
  const auto pat = [](double t) {
    return t > 3.0 && t < 3.2 ? 5.0 * std::sin((t - 3.0) / 0.2 * 3.14159) : 0.0;
  };
  EXPECT_TRUE(Run(Capture(8.0, pat)).empty());
  const auto tap = [&](double t) { return 40.0 * pat(t); };
  EXPECT_EQ(Run(Capture(8.0, tap)).size(), 1U);
}

TEST_F(SleeveOfFourCells, NoiseAndDriftAloneAreNoBite) {
  const auto drift = [](double t) { return 0.5 * t; };
  EXPECT_TRUE(Run(Capture(60.0, drift)).empty());
}

TEST_F(SleeveOfFourCells, AReleaseOf300MillisecondsIsARegripOf800TwoBites) {
  const auto with_pause = [](double pause_s) {
    return Sum({BiteSpec{2.0, 1.2, 700.0, 0.1, 500.0},
                BiteSpec{3.2 + pause_s, 1.5, 480.0, 0.2, 500.0}});
  };
  const auto one = Run(Capture(8.0, with_pause(0.25)));
  ASSERT_EQ(one.size(), 1U);
  EXPECT_EQ(one[0].bite.regrips, 1);
  ASSERT_EQ(one[0].regrips_s.size(), 1U);
  EXPECT_GT(one[0].regrips_s[0], 3.18);  // free from 3.20 s to 3.45 s
  EXPECT_LT(one[0].regrips_s[0], 3.47);
  const auto merged = Run(Capture(8.0, with_pause(0.30)));
  EXPECT_EQ(merged.size(), 1U);
  const auto two = Run(Capture(8.0, with_pause(0.80)));
  ASSERT_EQ(two.size(), 2U);
  EXPECT_EQ(two[0].bite.regrips + two[1].bite.regrips, 0);
  EXPECT_NEAR(two[1].bite.start_s, 4.0, 0.01);
}

TEST_F(SleeveOfFourCells, ACaptureThatBeginsUnderLoadFindsItsZeroLater) {
  // The dog hangs on from the first sample and lets go at 1.4 s; the next
  // bite is an ordinary one.
  const auto force = Sum({BiteSpec{-1.0, 2.4, 0.0, 0.1, 450.0},
                          BiteSpec{6.0, 1.5, 900.0, 0.1, 500.0}});
  const auto bites = Run(Capture(10.0, force));
  ASSERT_GE(bites.size(), 1U);
  const Bite& last = bites.back().bite;
  EXPECT_NEAR(last.start_s, 6.0, 0.01);
  ASSERT_TRUE(last.peak_n && last.peak_u95_n);
  EXPECT_NEAR(*last.peak_n, 900.0, *last.peak_u95_n);
}

TEST_F(SleeveOfFourCells, HowTheCaptureIsCutDoesNotMatter) {
  Rows rows = Capture(14.0, Sum({BiteSpec{2.0, 1.5, 900.0, 0.1, 500.0},
                                 BiteSpec{4.1, 1.0, 500.0, 0.1, 300.0},
                                 BiteSpec{8.0, 2.0, 300.0, 0.1, 600.0}}));
  rows.Lose(8.5, 8.52);
  rows.Lose(12.0, 12.4);
  const auto want = Run(rows, rows.size());
  ASSERT_EQ(want.size(), 3U);
  for (const std::size_t block : {1U, 7U, 4096U}) {
    const auto got = Run(rows, block);
    ASSERT_EQ(got.size(), want.size()) << block;
    for (std::size_t i = 0; i < got.size(); ++i) {
      const Bite& a = got[i].bite;
      const Bite& b = want[i].bite;
      EXPECT_EQ(a.start_s, b.start_s);
      EXPECT_EQ(a.end_s, b.end_s);
      EXPECT_EQ(a.peak_n, b.peak_n);
      EXPECT_EQ(a.peak_u95_n, b.peak_u95_n);
      EXPECT_EQ(a.squeeze_n, b.squeeze_n);
      EXPECT_EQ(a.impulse_ns, b.impulse_ns);
      EXPECT_EQ(a.x_mm, b.x_mm);
      EXPECT_EQ(a.first_row, b.first_row);
      EXPECT_EQ(a.last_row, b.last_row);
      EXPECT_EQ(a.verdict, b.verdict);
      EXPECT_EQ(got[i].series.raw_n, want[i].series.raw_n);
    }
  }
}

TEST_F(SleeveOfFourCells, ALongQuietDayIsForgottenAndTheBiteAfterItIsRight) {
  // 3 min of quiet: rows are let go; row numbers still count from the start.
  Rows rows = OnPlate(plate_, {0, 0}, 186.0, BiteSpec{182.0}, Device{});
  const auto bites = Run(rows);
  ASSERT_EQ(bites.size(), 1U);
  EXPECT_NEAR(bites[0].bite.start_s, 182.0, 0.01);
  EXPECT_NEAR(static_cast<double>(bites[0].bite.first_row), 182000.0, 10.0);
  EXPECT_NEAR(*bites[0].bite.peak_n, 900.0, *bites[0].bite.peak_u95_n);
}

TEST_F(SleeveOfFourCells, FramesShowTheForceAndTheBiteGoingOn) {
  double highest = 0.0;
  double last_end = -1.0;
  int active = 0;
  bool waited = false;
  int shown_again = 0;
  PipelineEvents events;
  events.on_bite = [](MeasuredBite&&) {};
  events.on_frame = [&](const FrameView& f) {
    // Frames seen before the zero was known are shown again once it is.
    if (waited && f.zero == ZeroState::kFollowed && shown_again++ == 0) {
      EXPECT_EQ(f.start_s, 0.0);
    } else {
      EXPECT_GT(f.start_s, last_end);
    }
    last_end = f.end_s;
    EXPECT_LE(f.low_n, f.high_n);
    highest = std::max(highest, f.high_n);
    active += f.active ? 1 : 0;
    waited = waited || f.zero == ZeroState::kWait;
  };
  Pipeline pipeline(FourCellRig(plate_), calibration_, std::move(events));
  const Rows rows = Capture(6.0, BiteSpec{});
  pipeline.Push(rows.Slice(0, rows.size()));
  pipeline.Finish();
  EXPECT_TRUE(waited);
  EXPECT_NEAR(highest, 900.0, 10.0);
  // 1.5 s of bite and 0.4 s until it is believed to be over.
  EXPECT_NEAR(active * kFrameS, 1.9, 0.06);
}

TEST_F(SleeveOfFourCells, TheOperatorsZeroIsTakenWhereItIsAsked) {
  // Somebody hangs the sleeve up at 4.6 s: 8 N that stay, too little for a
  // bite. At 5.2 s, when the bite begins, most of the quiet is older.
  const Rows rows = Capture(
      9.0, Sum({[](double t) { return t > 4.6 ? 8.0 : 0.0; }, BiteSpec{5.2}}));
  const auto peak = [&](bool asked) {
    std::vector<MeasuredBite> bites;
    PipelineEvents events;
    events.on_bite = [&](MeasuredBite&& b) { bites.push_back(std::move(b)); };
    Pipeline pipeline(FourCellRig(plate_), calibration_, std::move(events));
    if (asked) pipeline.SeekZeroAt(4.7);
    pipeline.Push(rows.Slice(0, rows.size()));
    pipeline.Finish();
    EXPECT_EQ(bites.size(), 1U);
    return bites.empty() ? 0.0 : *bites[0].bite.peak_n;
  };
  EXPECT_NEAR(peak(false) - peak(true), 8.0, 0.5);
}

TEST(PipelineWithoutCalibration, CountsAreVoidAndHaveNoForces) {
  Rig rig = OneCellRig(SignalUnit::kCount);
  rig.channels[0].adc_min = -8388608.0;
  rig.channels[0].adc_max = 8388607.0;
  const Rows rows =
      OnOneCell(8.0, BiteSpec{}, {1000.0, 50.0, 1}, 800.0, 4000.0);
  const auto bites = RunPipeline(rig, nullptr, rows);
  ASSERT_EQ(bites.size(), 1U);
  const Bite& b = bites[0].bite;
  EXPECT_EQ(b.verdict, Verdict::kVoid);
  EXPECT_NE(testing_bite::ReasonOf(b, ReasonCode::kUncalibrated), nullptr);
  EXPECT_FALSE(b.peak_n || b.peak_u95_n || b.squeeze_n || b.held_n ||
               b.impulse_ns || b.loading_rate_n_s || b.strike_n);
  EXPECT_NEAR(b.start_s, 2.0, 0.01);
  EXPECT_NEAR(b.duration_s, 1.5, 0.03);
  EXPECT_TRUE(b.rise_s.has_value());
}

TEST(PipelineWithoutCalibration, NoCountIsCalledANewton) {
  const Rig rig = OneCellRig(SignalUnit::kCount);
  Rows rows = OnOneCell(8.0, BiteSpec{}, {1000.0, 50.0, 1}, 800.0, 4000.0);
  rows.Lose(2.3, 2.35);
  rows.EndAt(2.6);
  const auto bites = RunPipeline(rig, nullptr, rows);
  ASSERT_EQ(bites.size(), 1U);
  ASSERT_GE(bites[0].bite.reasons.size(), 3U);
  for (const Reason& reason : bites[0].bite.reasons) {
    EXPECT_FALSE(reason.effect_n.has_value()) << reason.text;
    EXPECT_EQ(reason.text.find(" N"), std::string::npos) << reason.text;
  }
  EXPECT_EQ(bites[0].bite.verdict, Verdict::kVoid);
}

TEST(PipelineWithoutCalibration, NewtonsAreDoubtfulButThere) {
  for (const auto& [unit, newtons] : {std::pair{SignalUnit::kNewton, 1.0},
                                      {SignalUnit::kKilogramForce, 9.80665}}) {
    const Rig rig = OneCellRig(unit);
    const Rows rows = OnOneCell(8.0, BiteSpec{}, {1000.0, 0.5 / newtons, 1},
                                1.0 / newtons, 3.0);
    const auto bites = RunPipeline(rig, nullptr, rows);
    ASSERT_EQ(bites.size(), 1U);
    const Bite& b = bites[0].bite;
    EXPECT_EQ(b.verdict, Verdict::kDoubtful);
    EXPECT_NE(testing_bite::ReasonOf(b, ReasonCode::kUncalibrated), nullptr);
    ASSERT_TRUE(b.peak_n.has_value());
    EXPECT_NEAR(*b.peak_n, 900.0, 2.0);
    EXPECT_FALSE(b.peak_u95_n.has_value());
  }
}

TEST(PipelineAtEightySamples, FindsAndMeasuresSlowlySampledBites) {
  const Plate plate;
  const Calibration calibration = CalibrationOf(plate);
  const Rig rig = FourCellRig(plate, 80.0);
  const auto force = Sum({BiteSpec{2.0, 1.5, 500.0, 0.3, 450.0},
                          BiteSpec{7.0, 1.5, 900.0, 0.04, 400.0}});
  const Rows rows = OnPlate(plate, {10, 3}, 12.0, force, {80.0, 6.0, 1});
  const auto bites = RunPipeline(rig, &calibration, rows);
  ASSERT_EQ(bites.size(), 2U);
  EXPECT_EQ(bites[0].bite.verdict, Verdict::kSound);
  EXPECT_NEAR(*bites[0].bite.peak_n, 500.0, *bites[0].bite.peak_u95_n);
  // 40 ms at 80 samples a second: the crest lies between two samples.
  EXPECT_NE(testing_bite::ReasonOf(bites[1].bite, ReasonCode::kSlow), nullptr);
  EXPECT_EQ(bites[1].bite.verdict, Verdict::kDoubtful);
}

// Bites whose strike is a bell of 110 ms (the half-sine of its curvature) on a
// squeeze, as it falls on the samples: how many intervals hold the true peak.
struct Held {
  int bites = 0;
  int inside = 0;
  int at_least = 0;
  int sound = 0;
};
Held HeldAt(double rate) {
  const Plate plate;
  const Calibration calibration = CalibrationOf(plate);
  const Rig rig = FourCellRig(plate, rate);
  Held out;
  for (int k = 0; k < 60; ++k) {
    const double at = 3.1 + std::fmod(0.37 * k, 1.0) / rate;  // every phase
    const double squeeze = 600.0 - 3.0 * k;
    const double strike = 20.0 + 4.0 * k;
    const auto force = [=](double t) {
      const double up = std::clamp((t - at + 0.09) / 0.08, 0.0, 1.0);
      const double down = std::clamp((at + 1.5 - t) / 0.12, 0.0, 1.0);
      const double bell = std::exp(-0.5 * std::pow((t - at) / 0.035, 2.0));
      return (squeeze * std::pow(std::sin(0.5 * std::numbers::pi * up), 2.0) +
              strike * bell) *
             down;
    };
    double truth = 0.0;
    for (double t = at - 0.1; t < at + 0.1; t += 1e-5) {
      truth = std::max(truth, force(t));
    }
    const Rows rows = OnPlate(plate, {10, 3}, 6.0, force, {rate, 6.0, 1});
    const auto bites = RunPipeline(rig, &calibration, rows);
    if (bites.size() != 1) continue;
    const Bite& b = bites[0].bite;
    const double low = b.peak_lo_n.value_or(*b.peak_n - *b.peak_u95_n);
    const double high = b.peak_hi_n.value_or(*b.peak_n + *b.peak_u95_n);
    ++out.bites;
    out.inside += low <= truth && (b.at_least || truth <= high) ? 1 : 0;
    out.at_least += b.at_least ? 1 : 0;
    out.sound += b.verdict == Verdict::kSound ? 1 : 0;
  }
  return out;
}

// 95 % claimed; of 60 intervals 53 or more hold it then, but for one in 100
// such tests (binomial).
TEST(PipelineOfFewSamples, IntervalsHoldTheTruePeak) {
  for (const double rate : {40.0, 50.0, 60.0, 80.0}) {
    const Held held = HeldAt(rate);
    EXPECT_EQ(held.bites, 60) << rate;
    EXPECT_GE(held.inside, 53) << rate;
    EXPECT_EQ(held.at_least, 0) << rate;
  }
}

// What common converter boards do as they come: 10 samples a second.
TEST(PipelineOfFewSamples, AStrikeMayPassBetweenTwo) {
  for (const double rate : {10.0, 20.0, 30.0}) {
    const Held held = HeldAt(rate);
    EXPECT_EQ(held.bites, 60) << rate;
    EXPECT_EQ(held.inside, 60) << rate;
    EXPECT_EQ(held.at_least, 60) << rate;
    EXPECT_EQ(held.sound, 0) << rate;
  }
}

}  // namespace
}  // namespace masseter
