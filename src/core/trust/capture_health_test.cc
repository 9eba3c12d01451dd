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

TEST_F(CaptureHealthOfASleeve, LostSamplesAndRestartsAreCounted) {
  Rows rows = Day();
  rows.Lose(5.0, 5.05);
  const CaptureHealth h = Inspect(rows, 3);
  EXPECT_EQ(Line(h, "losses").level, HealthLevel::kWatch);
  EXPECT_THAT(Line(h, "losses").found, HasSubstr("53 samples"));
  rows = Day();
  rows.RestartAt(9.0);
  EXPECT_EQ(Line(Inspect(rows), "restarts").level, HealthLevel::kWatch);
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

}  // namespace
}  // namespace masseter
