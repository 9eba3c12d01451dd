// Pairs of bites made by the simulator, alike but for one known cause:
// `explain A B` must name it (issue: nine of ten at least).
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "app/calibrate_book.h"
#include "app/explain_json.h"
#include "app/explain_pair.h"
#include "app/file_io.h"
#include "app/import_capture.h"
#include "device/sim/plant_fault.h"
#include "device/sim/scenario.h"
#include "device/sim/texts.h"

namespace masseter {
namespace {

constexpr double kPauseS = 6.0;

// A slow rise into a long squeeze: its peak lies in the middle.
sim::BiteShape Calm(double squeeze_n) {
  sim::BiteShape shape;
  shape.length_s = 2.0;
  shape.strike_n = 0.3 * squeeze_n;
  shape.squeeze_n = squeeze_n;
  shape.rise_s = 0.6;
  shape.fade_per_s = 0.02;
  return shape;
}

struct Pair {
  std::string cause;
  // Changes the second of two equal bites, or plants a fault into it.
  std::function<void(sim::SimDay&, std::size_t second)> plant;
};

void Plant(sim::FaultKind kind, int channel, sim::SimDay& day,
           std::size_t bite) {
  sim::PlantFault(kind, bite, channel, 4, day);
}

std::vector<Pair> Pairs() {
  using Kind = sim::FaultKind;
  const auto fault = [](const char* cause, Kind kind, int channel) {
    return Pair{cause, [=](sim::SimDay& day, std::size_t k) {
                  Plant(kind, channel, day, k);
                }};
  };
  return {
      fault("gap", Kind::kGap, 0),
      fault("restart", Kind::kRestart, 0),
      fault("rail", Kind::kRail, 1),
      fault("stuck", Kind::kStuck, 2),
      fault("glitch", Kind::kGlitch, 3),
      fault("loose", Kind::kLoose, 1),
      // Before the peak, so that the peak suffers it.
      {"zero",
       [](sim::SimDay& day, std::size_t k) {
         Plant(Kind::kZero, 2, day, k);
         day.faults.back().start_s = day.bites[k].start_s + 0.3;
       }},
      {"dog", [](sim::SimDay& day,
                 std::size_t k) { day.bites[k].shape.squeeze_n *= 1.3; }},
      {"place",
       [](sim::SimDay& day, std::size_t k) {
         day.bites[k].shape.grip.x_mm = 50.0;
         day.bites[k].shape.grip.y_mm = 15.0;
       }},
      {"place",
       [](sim::SimDay& day, std::size_t k) {
         day.bites[k].shape.grip.x_mm = -50.0;
         day.bites[k].shape.grip.y_mm = -15.0;
       }},
  };
}

// Two bites a pair, and the faults of the second ones.
sim::SimDay DayOf(const std::vector<Pair>& pairs, const sim::SimDay& like) {
  sim::SimDay day = like;
  day.dogs.resize(1);
  day.bites.clear();
  day.handling.clear();
  day.faults.clear();
  day.marks = {{0.0, day.dogs[0].name}};
  double at = 5.0;
  for (std::size_t p = 0; p < pairs.size(); ++p) {
    for (int k = 0; k < 2; ++k) {
      sim::SimBite bite;
      bite.start_s = at;
      bite.shape = Calm(500.0 + 15.0 * static_cast<double>(p));
      day.bites.push_back(bite);
      at += kPauseS;
    }
    pairs[p].plant(day, day.bites.size() - 1);
  }
  day.length_s = at;
  return day;
}

class ExplainPairs : public ::testing::Test {
 protected:
  void SetUp() override {
    folder_ = (std::filesystem::temp_directory_path() / "masseter-pairs-XXXXXX")
                  .string();
    ASSERT_NE(mkdtemp(folder_.data()), nullptr);
  }
  void TearDown() override {
    std::error_code ignored;
    std::filesystem::remove_all(folder_, ignored);
  }

  void Import(const sim::SimSleeve& sleeve, const sim::SimDay& day) {
    const sim::BenchPlan plan = sim::DefaultBenchPlan(sleeve);
    const sim::SimFiles files = sim::MakeSimFiles(sleeve, day, plan, 7);
    book_ = folder_ + "/pairs.book";
    const std::string capture = folder_ + "/capture.csv";
    const std::string marks = folder_ + "/marks.csv";
    ASSERT_TRUE(WriteText(capture, files.capture_csv).has_value());
    ASSERT_TRUE(WriteText(marks, files.marks_csv).has_value());
    ASSERT_TRUE(NewBook(book_, files.rig_toml, "rig.toml").has_value());
    CalibrateOptions options;
    options.gravity_m_s2 = plan.gravity_m_s2;
    const auto calibrated =
        CalibrateBookText(book_, files.readings_csv, "readings.csv", options);
    ASSERT_TRUE(calibrated.has_value()) << calibrated.error().Text();
    ImportRequest request;
    request.book_path = book_;
    request.capture_path = capture;
    request.marks_path = marks;
    const auto imported = ImportCapture(request);
    ASSERT_TRUE(imported.has_value()) << imported.error().Text();
    ASSERT_EQ(imported->bites, day.bites.size());
  }

  std::string folder_;
  std::string book_;
};

TEST_F(ExplainPairs, NameTheCauseInNineOfTenAtLeast) {
  sim::Scenario scenario = sim::DemoScenario();
  // A stiff shell, which takes a tenth of a load at its edge.
  scenario.sleeve.shell.edge_share = 0.10;
  const std::vector<Pair> pairs = Pairs();
  ASSERT_EQ(pairs.size(), 10U);
  const sim::SimDay day = DayOf(pairs, scenario.day);
  ASSERT_NO_FATAL_FAILURE(Import(scenario.sleeve, day));
  int named = 0;
  for (std::size_t p = 0; p < pairs.size(); ++p) {
    const auto first = static_cast<std::int64_t>(2 * p + 1);
    const auto pair = ExplainPair(book_, first, first + 1);
    ASSERT_TRUE(pair.has_value()) << pair.error().Text();
    const Disagreement& d = pair->split;
    named += d.cause == pairs[p].cause ? 1 : 0;
    std::printf("  %-8s named %-8s %s\n", pairs[p].cause.c_str(),
                d.cause.c_str(), pair->sentence.c_str());
    // What remains for the dog holds the true difference: 0, or 30 % of the
    // squeeze.
    const double truth = sim::FiguresOf(day.bites[2 * p].shape).peak_n -
                         sim::FiguresOf(day.bites[2 * p + 1].shape).peak_n;
    EXPECT_LE(d.dog_low_n.value_or(truth), truth) << pairs[p].cause;
    EXPECT_GE(d.dog_high_n.value_or(truth), truth) << pairs[p].cause;
  }
  EXPECT_GE(named, 9);
  // The shares as JSON, and the test over all bites: the instrument explains
  // the equal ones, not the dog's harder one.
  const auto json = PairJson(*ExplainPair(book_, 15, 16));
  EXPECT_EQ(json["cause"], "dog");
  EXPECT_EQ(json["consistency"][0]["kind"], "dog");
  EXPECT_EQ(json["consistency"][0]["instrument_explains_it"], false);
}

// Equal sharp strikes, sampled 80 times a second at other moments: the highest
// samples differ by up to 1 - cos(pi / (2 x 80 x 0.06)) = 5 %.
TEST_F(ExplainPairs, SamplingIsToldFromTheDog) {
  sim::Scenario scenario = sim::DemoScenario();
  scenario.sleeve.converter.sample_rate_hz = 80.0;
  sim::SimDay day = DayOf({{"dog", [](sim::SimDay&, std::size_t) {}},
                           {"dog", [](sim::SimDay&, std::size_t) {}},
                           {"dog", [](sim::SimDay&, std::size_t) {}}},
                          scenario.day);
  for (std::size_t k = 0; k < day.bites.size(); ++k) {
    sim::SimBite& bite = day.bites[k];
    bite.shape = Calm(250.0);
    bite.shape.strike_n = 800.0;
    bite.shape.strike_s = 0.06;
    bite.start_s += static_cast<double>(k) / 6.0 / 80.0;
  }
  ASSERT_NO_FATAL_FAILURE(Import(scenario.sleeve, day));
  // The two that a plain read-out would tell farthest apart.
  const auto bites = ReplayBites(book_, {1, 2, 3, 4, 5, 6});
  ASSERT_TRUE(bites.has_value()) << bites.error().Text();
  const auto [low, high] = std::minmax_element(
      bites->begin(), bites->end(), [](const auto& a, const auto& b) {
        return a.measured.steps->as_read_n < b.measured.steps->as_read_n;
      });
  const auto pair =
      ExplainPair(book_, low->measured.bite.id, high->measured.bite.id);
  ASSERT_TRUE(pair.has_value()) << pair.error().Text();
  EXPECT_LT(pair->split.as_read_n, -20.0);
  EXPECT_EQ(pair->split.cause, "sampling") << pair->sentence;
  EXPECT_LE(*pair->split.dog_low_n, 0.0);
  EXPECT_GE(*pair->split.dog_high_n, 0.0);
}

TEST_F(ExplainPairs, RefuseWhatIsNoPair) {
  const sim::Scenario scenario = sim::ExampleScenario();
  sim::SimDay day =
      DayOf({{"dog", [](sim::SimDay&, std::size_t) {}}}, scenario.day);
  ASSERT_NO_FATAL_FAILURE(Import(scenario.sleeve, day));
  EXPECT_EQ(ExplainPair(book_, 1, 1).error().kind, ErrorKind::kBadInput);
  EXPECT_EQ(ExplainPair(book_, 1, 99).error().where, "99");
  const auto alike = ExplainPair(book_, 1, 2);
  ASSERT_TRUE(alike.has_value());
  EXPECT_TRUE(alike->split.agree);
  ASSERT_FALSE(alike->groups.empty());
  ASSERT_TRUE(alike->groups[0].test.has_value());
  EXPECT_TRUE(alike->groups[0].test->Explained());
}

}  // namespace
}  // namespace masseter
