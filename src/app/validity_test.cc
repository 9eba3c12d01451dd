// Which calibration measures a capture, and what limits and check loads say.
#include "app/validity.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>

#include "app/calibration_json.h"

namespace masseter {
namespace {

class ValidityTest : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = (std::filesystem::temp_directory_path() / "masseter-test-XXXXXX")
                  .string();
    ASSERT_NE(mkdtemp(folder_.data()), nullptr);
    auto book = Logbook::Create(folder_ + "/day.book", "[rig]\n", 100.0);
    ASSERT_TRUE(book) << book.error().Text();
    book_.emplace(std::move(*book));
  }
  void TearDown() override {
    book_.reset();
    std::filesystem::remove_all(folder_);
  }

  std::int64_t Calibrate(double at, const std::string& day = "") {
    Calibration c;
    c.performed_on = day;
    c.estimator.form = EstimatorForm::kGains;
    c.estimator.gain = {1.0};
    c.estimator.coeffs = {1.0};
    c.channels = {"c1"};
    c.expanded_relative_u95 = 0.01;
    return book_->AddCalibration({0, at, CalibrationDocument(c), ""})
        .value_or(0);
  }
  CaptureInfo Capture(double at, std::int64_t measured_with = 0) {
    CaptureInfo info;
    info.source = "c.csv";
    info.created_unix_s = at;
    info.calibration = measured_with;
    return info;
  }
  std::int64_t InForceAt(double at, std::int64_t measured_with = 0) {
    const auto c = CalibrationFor(*book_, Capture(at, measured_with));
    EXPECT_TRUE(c);
    return c ? c->id : -1;
  }

  std::string folder_;
  std::optional<Logbook> book_;
};

TEST_F(ValidityTest, CaptureKeepsTheCalibrationOfItsTime) {
  EXPECT_EQ(InForceAt(500.0), 0) << "none yet";
  const auto first = Calibrate(1000.0);
  const auto second = Calibrate(2000.0);
  EXPECT_EQ(InForceAt(1500.0), first);
  EXPECT_EQ(InForceAt(2500.0), second);
  // Before any: the one its bites have, else the newest.
  EXPECT_EQ(InForceAt(500.0, first), first);
  EXPECT_EQ(InForceAt(500.0), second);
}

// Readings of three days, evaluated in another order; a capture of a day goes
// with the last readings before it. Days: date -u -d "2026-05-16" +%s.
TEST_F(ValidityTest, ReadingsCountFromTheirDayAndNotFromTheirEvaluation) {
  constexpr double kDay = 86400.0;
  constexpr double kMay16 = 1778889600.0;
  const auto june = Calibrate(kMay16 + 40 * kDay, "2026-06-15");
  const auto april = Calibrate(kMay16 + 41 * kDay, "2026-04-16");
  const auto may = Calibrate(kMay16 + 42 * kDay, "2026-05-16");
  EXPECT_EQ(InForceAt(kMay16 - 1.0), april);
  EXPECT_EQ(InForceAt(kMay16 + kDay), may);
  EXPECT_EQ(InForceAt(kMay16 + 29 * kDay), may);
  EXPECT_EQ(InForceAt(kMay16 + 31 * kDay), june);
  EXPECT_EQ(InForceAt(kMay16 + 100 * kDay), june);
  // The same readings evaluated better take the place of the first.
  const auto better = Calibrate(kMay16 + 43 * kDay, "2026-05-16");
  EXPECT_EQ(InForceAt(kMay16 + kDay), better);
  // A day in the future is a slip: it holds from its evaluation.
  const auto slip = Calibrate(kMay16 + 44 * kDay, "2027-05-16");
  EXPECT_EQ(InForceAt(kMay16 + 45 * kDay), slip);
}

TEST_F(ValidityTest, RecordingsHaveWallTimeAndFilesThatOfTheirImport) {
  CaptureInfo info = Capture(1000.0);
  EXPECT_EQ(WallTime(info, 60.0), 1000.0);
  info.source = "serial:/dev/ttyUSB0@921600";
  EXPECT_EQ(WallTime(info, 60.0), 1060.0);
  info.source = "-";
  EXPECT_EQ(WallTime(info, 60.0), 1060.0);
}

TEST_F(ValidityTest, LimitsAreKeptOneByOneAndTakenAwayByZero) {
  EXPECT_FALSE(LimitsOf(*book_)->check_every_s);
  ASSERT_TRUE(SetLimits(*book_, {std::nullopt, 3600.0}, 1.0));
  ASSERT_TRUE(SetLimits(*book_, {7200.0, std::nullopt}, 2.0));
  EXPECT_EQ(LimitsOf(*book_)->check_every_s, 3600.0);
  EXPECT_EQ(LimitsOf(*book_)->calibration_for_s, 7200.0);
  ASSERT_TRUE(SetLimits(*book_, {std::nullopt, 0.0}, 3.0));
  EXPECT_FALSE(LimitsOf(*book_)->check_every_s);
  EXPECT_EQ(LimitsOf(*book_)->calibration_for_s, 7200.0);
}

TEST_F(ValidityTest, OnlyChecksOfTheSameCalibrationCount) {
  const auto first = Calibrate(1000.0);
  const auto second = Calibrate(2000.0);
  for (const auto id : {first, second}) {
    ASSERT_TRUE(book_->AddBenchEntry(
        {0, "check", 3000.0,
         "{\"calibration\":" + std::to_string(id) +
             ",\"load_n\":100.0,\"difference_n\":-4.0,\"within\":false}"}));
  }
  const auto in_force = CalibrationFor(*book_, Capture(1500.0));
  ASSERT_TRUE(in_force);
  const auto validity = ValidityOf(*book_, *in_force);
  ASSERT_TRUE(validity);
  ASSERT_TRUE(*validity);
  ASSERT_EQ((*validity)->checks.size(), 1U);
  EXPECT_NEAR((*validity)->checks[0].relative_error, -0.04, 1e-12);
  Bite bite;
  bite.peak_n = 500.0;
  bite.peak_u95_n = 5.0;
  bite.verdict = Verdict::kSound;
  DateBite(*validity, Capture(1500.0), bite);
  EXPECT_EQ(bite.verdict, Verdict::kDoubtful);
}

TEST_F(ValidityTest, CalibrationIsAsOldAsItsReadings) {
  // date -u -d "2026-05-16 12:00" +%s
  Calibrate(1.79e9, "2026-05-16");
  const auto in_force = CalibrationFor(*book_, Capture(1.8e9));
  ASSERT_TRUE(in_force);
  EXPECT_EQ((*ValidityOf(*book_, *in_force))->calibrated_unix_s, 1778932800.0);
  Calibrate(1.791e9, "last spring");
  const auto other = CalibrationFor(*book_, Capture(1.8e9));
  EXPECT_EQ((*ValidityOf(*book_, *other))->calibrated_unix_s, 1.791e9);
}

TEST_F(ValidityTest, SpansOfTimeAreReadInTheirUnits) {
  EXPECT_EQ(ParseSpan("30d", "--every"), 30.0 * 86400.0);
  EXPECT_EQ(ParseSpan("12h", "--every"), 12.0 * 3600.0);
  EXPECT_EQ(ParseSpan("90m", "--every"), 5400.0);
  EXPECT_EQ(ParseSpan("45s", "--every"), 45.0);
  EXPECT_EQ(ParseSpan("2", "--every"), 2.0 * 86400.0);
  for (const char* wrong : {"", "d", "soon", "-3d", "3w"}) {
    EXPECT_FALSE(ParseSpan(wrong, "--every")) << wrong;
  }
}

}  // namespace
}  // namespace masseter
