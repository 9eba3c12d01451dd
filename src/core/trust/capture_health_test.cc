#include "core/trust/capture_health.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "core/bite/bite_testing.h"

namespace masseter {
namespace {

using ::testing::HasSubstr;
using testing_bite::BiteSpec;
using testing_bite::Device;
using testing_bite::OnPlate;
using testing_bite::Rows;
using testing_plate::Plate;

class CaptureHealthOfASleeve : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    calibration_ = new Calibration(testing_bite::CalibrationOf(Plate{}));
  }
  static void TearDownTestSuite() { delete calibration_; }

  Rows Day(Device device = {}) {
    return OnPlate(plate_, {5.0, 5.0}, 20.0, BiteSpec{}, device);
  }
  CaptureHealth Inspect(const Rows& rows, std::uint64_t broken = 0) {
    HealthMeter meter(rig_, calibration_);
    for (std::size_t a = 0; a < rows.size(); a += 1000) {
      meter.Push(rows.Slice(a, std::min(rows.size(), a + 1000)));
    }
    return meter.Finish(broken);
  }
  static HealthLine Line(const CaptureHealth& h, const std::string& what) {
    for (const HealthLine& line : h.lines) {
      if (line.what == what) return line;
    }
    ADD_FAILURE() << "no line " << what;
    return {};
  }

  Plate plate_;
  Rig rig_ = testing_plate::FourCellRig(plate_);
  static const Calibration* calibration_;
};
const Calibration* CaptureHealthOfASleeve::calibration_ = nullptr;

TEST_F(CaptureHealthOfASleeve, AHealthyCaptureIsGoOnEveryLine) {
  const CaptureHealth h = Inspect(Day());
  for (const HealthLine& line : h.lines) {
    EXPECT_EQ(line.level, HealthLevel::kGo) << line.what << ": " << line.found;
    EXPECT_TRUE(line.advice.empty()) << line.what;
  }
  EXPECT_EQ(h.level, HealthLevel::kGo);
  EXPECT_EQ(h.samples, 20000U);
  EXPECT_NEAR(*Line(h, "rate").value, 1000.0, 0.01);
  // 6 counts of noise and a rounding of 1 / root 12, at 210 counts a newton.
  EXPECT_NEAR(*Line(h, "noise of c1").value, std::sqrt(36.0 + 1.0 / 12) / 210,
              0.002);
}

TEST_F(CaptureHealthOfASleeve, AnotherRateIsToldAndFarOffIsNoGo) {
  Device device;
  device.rate_hz = 940.0;
  EXPECT_EQ(Line(Inspect(Day(device)), "rate").level, HealthLevel::kWatch);
  device.rate_hz = 500.0;
  const CaptureHealth h = Inspect(Day(device));
  EXPECT_EQ(Line(h, "rate").level, HealthLevel::kNoGo);
  EXPECT_THAT(Line(h, "rate").found, HasSubstr("50 % below nominal"));
  EXPECT_EQ(h.level, HealthLevel::kNoGo);
}

TEST_F(CaptureHealthOfASleeve, TenSamplesASecondMayMissAStrike) {
  for (const double rate : {10.0, 31.0, 32.0}) {
    rig_.sample_rate_hz = rate;
    Device device;
    device.rate_hz = rate;
    const CaptureHealth h = Inspect(Day(device));
    const bool told = std::any_of(
        h.lines.begin(), h.lines.end(),
        [](const HealthLine& line) { return line.what == "strike"; });
    EXPECT_EQ(told, rate < 31.25) << rate;
  }
}

TEST_F(CaptureHealthOfASleeve, LostSamplesAndRestartsAreCounted) {
  Rows rows = Day();
  rows.Lose(5.0, 5.05);
  const CaptureHealth h = Inspect(rows, 3);
  EXPECT_EQ(Line(h, "losses").level, HealthLevel::kWatch);
  // Three of the fifty came, but could not be read.
  EXPECT_THAT(Line(h, "losses").found, HasSubstr("50 samples"));
  rows = Day();
  rows.RestartAt(9.0);
  EXPECT_EQ(Line(Inspect(rows), "restarts").level, HealthLevel::kWatch);
}

TEST_F(CaptureHealthOfASleeve, WithoutACounterBrokenLinesAreLossesOfTheirOwn) {
  const Rows rows = Day();
  RawBlock block = rows.Slice(0, rows.size());
  ASSERT_EQ(block.layout.front().role, Role::kSequence);
  block.layout.erase(block.layout.begin());
  block.columns.erase(block.columns.begin());
  HealthMeter meter(rig_, calibration_);
  meter.Push(block);
  EXPECT_THAT(Line(meter.Finish(3), "losses").found, HasSubstr("3 samples"));
}

TEST_F(CaptureHealthOfASleeve, AChannelThatNeverMovesIsNoGo) {
  Rows rows = Day();
  std::fill(rows.channel[2].begin(), rows.channel[2].end(), 350.0);
  const CaptureHealth h = Inspect(rows);
  EXPECT_EQ(Line(h, "c3").level, HealthLevel::kNoGo);
  EXPECT_THAT(Line(h, "c3").advice, HasSubstr("reseat the plug of c3"));
}

TEST_F(CaptureHealthOfASleeve, AChannelThatJumpsAloneIsLoose) {
  Rows rows = Day();
  for (int k = 0; k < 6; ++k) {
    for (std::size_t i = 0; i < 10; ++i) {
      rows.channel[1][rows.RowAt(5.0 + 0.5 * k) + i] += 40000.0;
    }
  }
  const CaptureHealth h = Inspect(rows);
  EXPECT_EQ(Line(h, "c2").level, HealthLevel::kNoGo);
  EXPECT_THAT(Line(h, "c2").found, HasSubstr("jumps alone 12 times"));
  EXPECT_EQ(Line(h, "c1").level, HealthLevel::kGo);
}

TEST_F(CaptureHealthOfASleeve, AClockThatPrintsInBurstsIsUnsteady) {
  Rows rows = Day();
  for (std::size_t i = 0; i < rows.size(); ++i) {
    rows.t_us[i] = rows.t_us[i - i % 2];  // two samples, one time
  }
  EXPECT_EQ(Line(Inspect(rows), "clock").level, HealthLevel::kNoGo);
}

TEST_F(CaptureHealthOfASleeve, ValuesThatRepeatAreNotFresh) {
  Rows rows = Day();
  for (std::size_t i = 0; i < rows.size(); ++i) {
    for (auto& channel : rows.channel) channel[i] = channel[i - i % 10];
  }
  const HealthLine& line = Line(Inspect(rows), "fresh values");
  EXPECT_EQ(line.level, HealthLevel::kNoGo);
  EXPECT_THAT(line.found, HasSubstr("about 100"));
}

TEST_F(CaptureHealthOfASleeve, AZeroThatWandersIsWatched) {
  Rows rows = Day();
  for (std::size_t i = 0; i < rows.size(); ++i) {
    rows.channel[0][i] += 0.2 * static_cast<double>(i);  // 19 N in 20 s
  }
  const HealthLine& line = Line(Inspect(rows), "zero");
  EXPECT_EQ(line.level, HealthLevel::kWatch);
  EXPECT_NEAR(*line.value, 14.0, 4.0);  // medians of six seconds each
}

TEST_F(CaptureHealthOfASleeve, DrawsWhatItJudged) {
  Rows rows = Day();
  for (std::size_t i = 0; i < rows.size(); ++i) {
    rows.channel[0][i] += 0.2 * static_cast<double>(i);
  }
  rows.Lose(5.0, 5.05);
  const HealthPictures p = Inspect(rows).pictures;
  ASSERT_EQ(p.breaks.size(), 1U);
  EXPECT_NEAR(p.breaks[0].t_s, 5.05, 0.002);
  EXPECT_EQ(p.steps[40], 20000U - 50U - 2U);  // all of one period but the gap
  ASSERT_GE(p.seconds.size(), 19U);
  const std::vector<float>& high = p.force.high();
  EXPECT_EQ(p.force.cell_s(), 0.02);
  EXPECT_EQ(high.size(), 1000U);        // 20 s
  EXPECT_NEAR(high[102], 900.0, 20.0);  // the strike's crest at 2.05 s
  EXPECT_NEAR(high[500], 0.0, 20.0);
  EXPECT_TRUE(std::isnan(high[251]));  // lost: 5.02 to 5.04 s
  EXPECT_TRUE(p.seconds[2].zero.empty());
  ASSERT_EQ(p.noise.size(), 4U);
  // 200 counts a second at 210 counts a newton from its first ten quiet
  // seconds on; the other channels stay, by 6 counts over root 1000.
  const auto& early = p.seconds[0].zero;
  const auto& late = p.seconds[18].zero;
  ASSERT_EQ(early.size(), 4U);
  ASSERT_EQ(late.size(), 4U);
  EXPECT_NEAR(late[0] - early[0], 18.0 * 200.0 / 210.0, 0.9);  // gains: 5 %
  EXPECT_NEAR(late[1] - early[1], 0.0, 0.01);
}

TEST_F(CaptureHealthOfASleeve, EveryLineTellsItsLimit) {
  for (const HealthLine& line : Inspect(Day()).lines) {
    if (line.what == "supply") continue;  // not printed by this device
    EXPECT_FALSE(line.limit.empty()) << line.what;
  }
  // 0.1 % and 0.5 % of a quarter of the range, capture_health.h.
  const double share = rig_.FullRange()->si() / 4.0;
  EXPECT_NEAR(Inspect(Day()).pictures.noise[0].watch, 0.001 * share, 1e-9);
  EXPECT_NEAR(Inspect(Day()).pictures.noise[0].no_go, 0.005 * share, 1e-9);
}

TEST(ForceStrip, KeepsEveryExtremeWhileItsCellsGrow) {
  ForceStrip strip(0.02);
  for (int i = 0; i < 100000; ++i) {
    strip.Add(0.01 * i, i == 33333 ? 900.0 : i == 12345 ? -50.0 : 1.0);
  }
  // 1000 s in at most 1200 cells: 0.02 s doubled six times.
  EXPECT_NEAR(strip.cell_s(), 1.28, 1e-12);
  EXPECT_EQ(strip.high().size(), 782U);  // 1000 s / 1.28 s, begun ones too
  strip.Shift(-1.0);
  for (std::size_t k = 0; k < strip.high().size(); ++k) {
    EXPECT_EQ(strip.high()[k], k == 260 ? 899.0F : 0.0F) << k;  // 333.33 s
    EXPECT_EQ(strip.low()[k], k == 96 ? -51.0F : 0.0F) << k;    // 123.45 s
  }
}

}  // namespace
}  // namespace masseter
