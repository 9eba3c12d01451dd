#include "app/calibration_history.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "app/calendar_day.h"
#include "core/metrology/plate_testing.h"

namespace masseter {
namespace {

using ::testing::HasSubstr;
using testing_plate::Plate;

constexpr double kDay = 86400.0;

DatedCalibration Made(std::int64_t id, double days, const Plate& plate,
                      std::uint64_t seed) {
  const Rig rig = testing_plate::FourCellRig(plate);
  testing_plate::BenchDay day;
  day.seed = seed;
  const auto table =
      ParseReadings(testing_plate::Readings(plate, day), "r.csv", rig);
  CalibrateOptions options;
  options.gravity_m_s2 = testing_plate::kGravity;
  return {id, 1.7e9 + days * kDay,
          Calibrate(rig, *table, options, "r.csv").value()};
}

Plate Scaled(double all, double second = 1.0) {
  Plate plate;
  for (double& c : plate.counts_per_n) c *= all;
  plate.counts_per_n[1] *= second;
  return plate;
}

TEST(CalibrationHistory, SeesASleeveThatReadsMore) {
  const CalibrationChange change =
      CompareCalibrations(Made(1, 0, Plate(), 1), Made(2, 90, Scaled(1.02), 2));
  EXPECT_EQ(change.days, 90.0);
  EXPECT_EQ(change.places, 9U);
  ASSERT_TRUE(change.sleeve.has_value());
  EXPECT_NEAR(change.sleeve->value, 0.02, change.sleeve->u95);
  EXPECT_TRUE(change.sleeve->more);
  for (const auto& channel : change.channels) {
    ASSERT_TRUE(channel.has_value());
    EXPECT_NEAR(channel->value, 0.02, channel->u95);
    EXPECT_TRUE(channel->more);
  }
}

TEST(CalibrationHistory, NamesTheChannelThatChanged) {
  const CalibrationChange change = CompareCalibrations(
      Made(1, 0, Plate(), 1), Made(2, 30, Scaled(1.0, 0.98), 2));
  EXPECT_NEAR(change.channels[1]->value, -0.02, change.channels[1]->u95);
  EXPECT_TRUE(change.channels[1]->more);
  for (const std::size_t other : {0U, 2U, 3U}) {
    EXPECT_FALSE(change.channels[other]->more) << other;
  }
}

TEST(CalibrationHistory, DoesNotCallNoiseAChange) {
  int more = 0;
  for (int k = 0; k < 10; ++k) {
    const auto seed = static_cast<std::uint64_t>(20 + k);
    const CalibrationChange change = CompareCalibrations(
        Made(1, 0, Plate(), seed), Made(2, 30, Plate(), seed + 100));
    more += change.sleeve->more ? 1 : 0;
  }
  EXPECT_LE(more, 1);
}

TEST(CalibrationHistory, DrawsTheDriftByDate) {
  std::vector<DatedCalibration> made;
  for (const int k : {2, 0, 3, 1}) {  // stored in another order
    made.push_back(Made(k + 1, 60.88 * k, Scaled(1.0 + 0.01 * k),
                        static_cast<std::uint64_t>(k)));
  }
  const CalibrationHistory history = HistoryOf("Sleeve <b>", std::move(made));
  EXPECT_EQ(history.calibrations.front().id, 1);
  EXPECT_EQ(history.calibrations.back().id, 4);
  ASSERT_EQ(history.steps.size(), 3U);
  EXPECT_NEAR(history.steps[1].sleeve->value, 0.0099, 0.001);
  EXPECT_NEAR(history.since_first[2].sleeve->value, 0.03, 0.001);
  ASSERT_TRUE(history.drift_per_month.has_value());
  // 1 % in two months.
  EXPECT_NEAR(history.drift_per_month->value, 0.005, 2e-4);
  EXPECT_TRUE(history.drift_per_month->more);
  const auto json = HistoryJson(history);
  EXPECT_EQ(json.at("calibrations").size(), 4U);
  EXPECT_TRUE(json.at("drift_per_month").at("more_than_uncertainty"));
  const std::string svg = HistorySvg(history);
  EXPECT_THAT(svg, HasSubstr("<svg xmlns="));
  EXPECT_THAT(svg, HasSubstr("Sleeve &lt;b&gt;"));
  std::size_t dots = 0;
  for (std::size_t at = 0; (at = svg.find("<circle", at)) != std::string::npos;
       ++at) {
    ++dots;
  }
  EXPECT_EQ(dots, 4U);
}

TEST(CalibrationHistory, OfOneOrNoneComparesNothing) {
  EXPECT_TRUE(HistoryOf("r", {}).steps.empty());
  std::vector<DatedCalibration> one;
  one.push_back(Made(1, 0, Plate(), 1));
  const CalibrationHistory history = HistoryOf("r", std::move(one));
  EXPECT_TRUE(history.steps.empty());
  EXPECT_FALSE(history.drift_per_month.has_value());
  EXPECT_THAT(HistorySvg(history), HasSubstr("</svg>"));
}

TEST(CalendarDay, IsReadAndWritten) {
  EXPECT_EQ(ParseDay("1970-01-02"), 86400.0 + 43200.0);
  EXPECT_EQ(DayText(*ParseDay("2026-05-16")), "2026-05-16");
  EXPECT_EQ(DayText(*ParseDay("2024-02-29")), "2024-02-29");
  for (const char* wrong : {"2026-02-29", "2026-13-01", "16.05.2026",
                            "2026-5-16", "", "2026-05-1x"}) {
    EXPECT_FALSE(ParseDay(wrong).has_value()) << wrong;
  }
}

}  // namespace
}  // namespace masseter
