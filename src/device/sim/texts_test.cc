// The files are as docs/formats describes them, and the ones in
// examples/field-day are what the simulator prints today.
#include "device/sim/texts.h"

#include <gtest/gtest.h>

#include <charconv>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <set>
#include <string>

#include "device/sim/capture_testing.h"
#include "device/sim/scenario.h"

namespace masseter::sim {
namespace {

double NumberOf(std::string_view field) {
  double value = NAN;
  const char* end = field.data() + field.size();
  const auto done = std::from_chars(field.data(), end, value);
  EXPECT_EQ(done.ptr, end) << field;
  return value;
}

// m g (1 - rho_air / rho_weight) for 60 kg: 588.735 N, 90 mN less in air.
TEST(Bench, ADeadWeightIsCorrectedForGravityAndBuoyancy) {
  EXPECT_NEAR(DeadWeightForce(BenchPlan{}, 60.0), 588.735 - 0.0900, 1e-3);
}

TEST(Bench, ReadingsHoldEverySeriesPositionAndDirectionWithZerosAround) {
  const SimSleeve sleeve = MakeSleeve(6, 4);
  const BenchPlan plan = DefaultBenchPlan(sleeve);
  const std::string text = BenchReadingsCsv(sleeve, plan, 6);
  const auto lines = LinesOf(text);
  EXPECT_EQ(lines[0],
            "series,direction,mass_kg,x_mm,y_mm,temp_c,t_s,c1,c2,c3,c4");
  ASSERT_EQ(lines.size(), 1U + 495U);
  std::set<std::string> runs;
  for (std::size_t i = 1; i < lines.size(); ++i) {
    const auto f = SplitAt(lines[i], ',');
    ASSERT_EQ(f.size(), 11U);
    EXPECT_TRUE(f[1] == "up" || f[1] == "down");
    for (std::size_t k = 2; k < f.size(); ++k) NumberOf(f[k]);
    const std::size_t in_run = (i - 1) % 15;
    EXPECT_EQ(NumberOf(f[2]) == 0.0, in_run == 0 || in_run == 14);
    runs.insert(std::string(f[0]) + "," + std::string(f[3]) + "," +
                std::string(f[4]));
  }
  EXPECT_EQ(runs.size(), 33U);
}

// The shell bends the answer with position: the sum of the cells over the
// middle reads more than over the edge, by no more than some per cent.
TEST(Bench, OffCentreLoadsReadLess) {
  SimSleeve sleeve = MakePerfectSleeve(4);
  sleeve.shell.edge_share = 0.03;
  BenchPlan plan;
  plan.masses_kg = {50.0};
  plan.series = 1;
  plan.weight_error = 0.0;
  plan.placing_mm = 0.0;
  plan.positions = {{0, 0}, {60, 15}};
  const std::string text = BenchReadingsCsv(sleeve, plan, 1);
  const auto lines = LinesOf(text);
  const auto sum = [&](std::size_t row) {
    const auto f = SplitAt(lines[row], ',');
    double newtons = 0.0;
    for (std::size_t k = 7; k < f.size(); ++k) newtons += NumberOf(f[k]);
    return newtons / sleeve.CountsPerNewton(0);
  };
  const double force = DeadWeightForce(plan, 50.0);
  EXPECT_NEAR(sum(2), force, 0.01);
  EXPECT_LT(sum(5), 0.995 * force);
  EXPECT_GT(sum(5), 0.95 * force);
}

TEST(Bench, WorksForEveryNumberOfCells) {
  for (int n = 1; n <= kMaxCells; ++n) {
    const SimSleeve sleeve = MakeSleeve(6, n);
    const std::string text =
        BenchReadingsCsv(sleeve, DefaultBenchPlan(sleeve), 6);
    for (const std::string_view line : LinesOf(text)) {
      EXPECT_EQ(SplitAt(line, ',').size(), 7U + static_cast<std::size_t>(n));
    }
  }
}

TEST(RigToml, DescribesTheSleeveWithoutKnowingItsErrors) {
  const std::string toml = RigToml(MakeSleeve(6, 2));
  EXPECT_NE(toml.find("columns   = [\"seq\", \"t_us\", \"c1\", \"c2\", "
                      "\"supply_mv\"]"),
            std::string::npos);
  EXPECT_NE(toml.find("x_mm       = -60.0"), std::string::npos);
  EXPECT_NE(toml.find("capacity_n = 3000.0"), std::string::npos);
  EXPECT_NE(toml.find("sample_rate_hz    = 1000\n"), std::string::npos);
  EXPECT_NE(toml.find("minimum_mv = 3400"), std::string::npos);
}

class Example : public testing::TestWithParam<const char*> {};

std::string Of(const SimFiles& files, const std::string& name) {
  if (name == "rig.toml") return files.rig_toml;
  if (name == "readings.csv") return files.readings_csv;
  if (name == "roster.csv") return files.roster_csv;
  if (name == "marks.csv") return files.marks_csv;
  if (name == "truth.json") return files.truth_json;
  return files.capture_csv;
}

// The same bytes on every machine, and the README's claim held to. With
// MASSETER_WRITE_EXAMPLES set the files are written anew first.
TEST_P(Example, IsByteForByteWhatTheSimulatorPrints) {
  static const SimFiles files = [] {
    const Scenario s = ExampleScenario();
    return MakeSimFiles(s.sleeve, s.day, DefaultBenchPlan(s.sleeve), s.seed);
  }();
  const std::string path =
      std::string(MASSETER_SOURCE_DIR) + "/examples/field-day/" + GetParam();
  if (std::getenv("MASSETER_WRITE_EXAMPLES") != nullptr) {
    std::ofstream(path, std::ios::binary) << Of(files, GetParam());
  }
  std::ifstream in(path, std::ios::binary);
  ASSERT_TRUE(in.is_open()) << path;
  const std::string kept((std::istreambuf_iterator<char>(in)), {});
  EXPECT_TRUE(kept == Of(files, GetParam())) << path << " differs";
}

INSTANTIATE_TEST_SUITE_P(FieldDay, Example,
                         testing::Values("rig.toml", "readings.csv",
                                         "roster.csv", "marks.csv",
                                         "capture.csv", "truth.json"));

TEST(ExampleScenario, StaysSmallEnoughToCarryAround) {
  const Scenario s = ExampleScenario();
  const SimFiles files =
      MakeSimFiles(s.sleeve, s.day, DefaultBenchPlan(s.sleeve), s.seed);
  EXPECT_LT(files.capture_csv.size(), 400U * 1000U);
  EXPECT_EQ(RowsOf(files.capture_csv, 4).size() + 1U,
            LinesOf(files.capture_csv).size() - 5U);
}

}  // namespace
}  // namespace masseter::sim
