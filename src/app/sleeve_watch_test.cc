// The last seconds of a sleeve, from the example's capture and bench.
#include "app/sleeve_watch.h"

#include <gtest/gtest.h>

#include "app/file_io.h"
#include "app/rig_file.h"
#include "core/metrology/calibration.h"
#include "core/metrology/readings.h"

namespace masseter {
namespace {

std::string ExampleText(const std::string& name) {
  return ReadText(std::string(MASSETER_SOURCE_DIR) + "/examples/field-day/" +
                  name)
      .value();
}

class SleeveWatchTest : public testing::Test {
 protected:
  void SetUp() override {
    rig_ = ParseRig(ExampleText("rig.toml"), "rig.toml").value();
    const auto table = ParseReadings(ExampleText("readings.csv"), "r", rig_);
    ASSERT_TRUE(table) << table.error().Text();
    CalibrateOptions options;
    options.gravity_m_s2 = 9.81225;
    calibration_ = Calibrate(rig_, *table, options, "r").value();
  }

  // Seconds of a sleeve that stands still, at these counts and a little noise.
  RawBlock Still(double seconds, const std::vector<std::int64_t>& counts,
                 std::int64_t supply_mv = 3900) {
    RawBlock block;
    block.layout = {{Role::kSequence, -1}, {Role::kTimeUs, -1}};
    for (int c = 0; c < 4; ++c) block.layout.push_back({Role::kChannel, c});
    block.layout.push_back({Role::kSupplyMv, -1});
    block.rows = static_cast<std::size_t>(seconds * 500.0);
    std::vector<std::vector<std::int64_t>> columns(7);
    for (std::size_t i = 0; i < block.rows; ++i, ++row_) {
      columns[0].push_back(row_);
      columns[1].push_back(2000 * row_);
      for (std::size_t c = 0; c < 4; ++c) {
        const auto noise =
            (row_ * 7919 + static_cast<std::int64_t>(c) * 31) % 101 - 50;
        columns[2 + c].push_back(counts[c] + noise);
      }
      columns[6].push_back(supply_mv);
    }
    for (auto& column : columns) block.columns.emplace_back(std::move(column));
    return block;
  }

  // Rows of examples/field-day/readings.csv: series A, 0 kg and 20 kg.
  const std::vector<std::int64_t> zero_ = {-66839, -65114, 765, -64031};
  const std::vector<std::int64_t> twenty_kg_ = {75939, 81523, 139264, 71243};
  Rig rig_;
  Calibration calibration_;
  std::int64_t row_ = 0;
};

TEST_F(SleeveWatchTest, SaysNothingBeforeThreeSeconds) {
  SleeveWatch watch(rig_, &calibration_);
  watch.Push(Still(2.0, zero_));
  EXPECT_FALSE(watch.Health());
  watch.Push(Still(2.0, zero_));
  EXPECT_TRUE(watch.Health());
}

TEST_F(SleeveWatchTest, ForgetsWhatIsOlderThanTenSeconds) {
  SleeveWatch watch(rig_, &calibration_);
  const auto level = [&] {
    const auto health = watch.Health();
    for (const HealthLine& line : health->lines) {
      if (line.what == "supply") return line.level;
    }
    return HealthLevel::kGo;
  };
  for (int i = 0; i < 5; ++i) watch.Push(Still(1.0, zero_, 3300));
  EXPECT_EQ(level(), HealthLevel::kNoGo);
  for (int i = 0; i < 12; ++i) watch.Push(Still(1.0, zero_, 3900));
  EXPECT_EQ(level(), HealthLevel::kGo);
}

TEST_F(SleeveWatchTest, FindsTheLoadAfterItsZeroOnce) {
  SleeveWatch watch(rig_, &calibration_);
  watch.Push(Still(4.0, zero_));
  EXPECT_FALSE(watch.Load());
  watch.Push(Still(4.0, twenty_kg_));
  const auto found = watch.Load();
  ASSERT_TRUE(found) << found.error().Text();
  const auto load = LoadOfMass(20.0, 9.81225);
  ASSERT_TRUE(load);
  const CheckResult result = JudgeCheck(calibration_, *load, found->zero,
                                        found->loaded, nullptr, std::nullopt);
  // The same row stands in the readings: the fit's own residual is left.
  EXPECT_TRUE(result.within) << result.difference_n;
  watch.LoadTaken();
  EXPECT_FALSE(watch.Load());
  watch.Push(Still(4.0, zero_));
  EXPECT_FALSE(watch.Load());
}

TEST_F(SleeveWatchTest, MeasuresTheZeroOverWhatNothingTouched) {
  SleeveWatch watch(rig_, &calibration_);
  watch.Push(Still(4.0, zero_));
  EXPECT_FALSE(watch.Zero());  // five seconds at least
  watch.Push(Still(4.0, twenty_kg_));
  EXPECT_FALSE(watch.Zero());
  watch.Push(Still(7.0, zero_));
  const auto zero = watch.Zero();
  ASSERT_TRUE(zero);
  EXPECT_EQ(zero->seconds, 7.0);
  EXPECT_TRUE(zero->in_newtons);
  EXPECT_LT(zero->wander, 0.05);  // noise of 30 counts, 500 a second
  // A cell's 1452 counts, of the 577000 that all read under 196 N: 0.5 N.
  watch.Push(Still(3.0, {zero_[0] + 1452, zero_[1], zero_[2], zero_[3]}));
  EXPECT_GT(watch.Zero()->wander, 0.3);
}

TEST_F(SleeveWatchTest, HasNoLoadWithoutACalibration) {
  SleeveWatch watch(rig_, nullptr);
  watch.Push(Still(4.0, zero_));
  watch.Push(Still(4.0, twenty_kg_));
  EXPECT_EQ(watch.Load().error().what,
            "there is no calibration to check; calibrate first");
}

}  // namespace
}  // namespace masseter
