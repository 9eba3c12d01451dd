// A bite whose samples come unevenly says so, and by how much that matters.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "core/bite/bite_testing.h"

namespace masseter {
namespace {

using ::testing::HasSubstr;
using testing_bite::BiteSpec;
using testing_bite::Device;
using testing_bite::OnPlate;
using testing_bite::ReasonOf;
using testing_bite::Rows;
using testing_plate::Plate;

class ClockEvidence : public ::testing::Test {
 protected:
  // Strike of 900 N, a half-sine of 0.10 s.
  Rows Steady() {
    return OnPlate(plate_, {5.0, 0.0}, 6.0, BiteSpec{}, Device{});
  }
  Bite Measured(const Rows& rows) {
    const auto bites = testing_bite::RunPipeline(rig_, &calibration_, rows);
    EXPECT_EQ(bites.size(), 1U);
    return bites.empty() ? Bite{} : bites.front().bite;
  }

  Plate plate_;
  Rig rig_ = testing_plate::FourCellRig(plate_);
  Calibration calibration_ = testing_bite::CalibrationOf(plate_);
};

TEST_F(ClockEvidence, ASteadyClockIsNoEvidence) {
  EXPECT_EQ(ReasonOf(Measured(Steady()), ReasonCode::kClock), nullptr);
}

TEST_F(ClockEvidence, AThirdOfAPeriodOfScatterIsNoEvidence) {
  Rows rows = Steady();
  for (std::size_t i = 0; i < rows.size(); i += 2) rows.t_us[i] += 170;
  EXPECT_EQ(ReasonOf(Measured(rows), ReasonCode::kClock), nullptr);
}

TEST_F(ClockEvidence, TwoSamplesWithOneTimeAreToldWithTheirEffect) {
  Rows rows = Steady();
  for (std::size_t i = 0; i < rows.size(); ++i) {
    rows.t_us[i] = rows.t_us[i - i % 2];  // steps of 0 and 2 ms
  }
  const Bite bite = Measured(rows);
  const Reason* clock = ReasonOf(bite, ReasonCode::kClock);
  ASSERT_NE(clock, nullptr);
  // Steps 0 and 2 scatter by exactly 1 about their mean.
  EXPECT_THAT(clock->text, HasSubstr("100 % of the period"));
  EXPECT_THAT(clock->advice, HasSubstr("the time of the conversion"));
  // A half-sine read 1 ms beside its crest, by hand: 900 N (1 - cos(pi / 100))
  // = 0.44 N. The crest's width is a fit's, whose square enters: 40 %.
  const double by_hand = 900.0 * (1.0 - std::cos(std::numbers::pi * 0.01));
  ASSERT_TRUE(clock->effect_n.has_value());
  EXPECT_NEAR(*clock->effect_n, by_hand, 0.4 * by_hand);
}

}  // namespace
}  // namespace masseter
