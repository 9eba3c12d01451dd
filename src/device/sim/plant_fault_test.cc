// A fault on demand lies where the header says, and in that bite alone.
#include "device/sim/plant_fault.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "device/sim/bite_shape.h"
#include "device/sim/stream.h"
#include "device/sim/truth.h"

namespace masseter::sim {
namespace {

constexpr std::size_t kBite = 1;

const SimDay& PlainDay() {
  static const SimDay day = [] {
    DayPlan plan;
    plan.dogs = DrawDogs(3, 11);
    plan.rounds = 1;
    return MakeDay(plan, 12);
  }();
  return day;
}

// The day with one fault in its second bite.
SimDay DayWith(FaultKind kind, int channel = 0) {
  SimDay day = PlainDay();
  PlantFault(kind, kBite, channel, 4, day);
  return day;
}

double PeakTime(const SimBite& bite) {
  return bite.start_s + FiguresOf(bite.shape).peak_at_s;
}

class PlantedFault : public ::testing::TestWithParam<FaultKind> {};

TEST_P(PlantedFault, HasAWordThatLeadsBackToIt) {
  EXPECT_EQ(FaultOf(FaultWord(GetParam())), GetParam());
}

TEST_P(PlantedFault, IsOneMoreAndLeavesTheBitesAlone) {
  const SimDay day = DayWith(GetParam());
  ASSERT_EQ(day.faults.size(), 1U);
  EXPECT_EQ(day.faults[0].kind, GetParam());
  ASSERT_EQ(day.bites.size(), PlainDay().bites.size());
  for (std::size_t i = 0; i < day.bites.size(); ++i) {
    EXPECT_EQ(day.bites[i].start_s, PlainDay().bites[i].start_s);
    EXPECT_EQ(FiguresOf(day.bites[i].shape).peak_n,
              FiguresOf(PlainDay().bites[i].shape).peak_n);
  }
}

TEST_P(PlantedFault, IsSufferedByThatBiteAloneInTheTruth) {
  const SimDay day = DayWith(GetParam());
  const SimSleeve sleeve = MakePerfectSleeve(4);
  SimStream stream(sleeve, day, 5);
  stream.Next(day.length_s);
  const Truth truth = stream.MakeTruth();
  ASSERT_EQ(truth.bites.size(), 3U);
  EXPECT_TRUE(truth.bites[0].faults.empty());
  ASSERT_EQ(truth.bites[kBite].faults.size(), 1U);
  EXPECT_EQ(truth.bites[kBite].faults[0].kind, GetParam());
  EXPECT_TRUE(truth.bites[2].faults.empty());
}

INSTANTIATE_TEST_SUITE_P(
    EveryKind, PlantedFault,
    ::testing::Values(FaultKind::kGap, FaultKind::kRestart, FaultKind::kSag,
                      FaultKind::kRail, FaultKind::kStuck, FaultKind::kGlitch,
                      FaultKind::kLoose, FaultKind::kZero,
                      FaultKind::kBrokenLine),
    [](const auto& each) {
      std::string name(FaultWord(each.param));
      std::erase_if(name, [](char c) { return c < 'a' || c > 'z'; });
      return name;
    });

TEST(PlantFault, GapAndRailLieAcrossThePeak) {
  const double peak_s = PeakTime(PlainDay().bites[kBite]);
  for (const FaultKind kind : {FaultKind::kGap, FaultKind::kRail}) {
    const Fault fault = DayWith(kind).faults[0];
    EXPECT_LT(fault.start_s, peak_s) << FaultWord(kind);
    EXPECT_GT(fault.start_s + fault.length_s, peak_s) << FaultWord(kind);
  }
  // As plant_fault.h says.
  EXPECT_NEAR(DayWith(FaultKind::kGap).faults[0].length_s, 0.081, 1e-12);
  EXPECT_NEAR(DayWith(FaultKind::kRail).faults[0].length_s, 0.060, 1e-12);
}

TEST(PlantFault, PowerIsLostOnTheWayUpAndComesBackAfterTheBite) {
  const SimBite& bite = PlainDay().bites[kBite];
  const Fault fault = DayWith(FaultKind::kRestart).faults[0];
  EXPECT_GT(fault.start_s, bite.start_s);
  EXPECT_LT(fault.start_s, PeakTime(bite));
  EXPECT_GT(fault.start_s + fault.length_s, bite.start_s + bite.shape.length_s);
}

TEST(PlantFault, AChannelIsStuckFromBeforeTheBiteToAfterIt) {
  const SimBite& bite = PlainDay().bites[kBite];
  const Fault fault = DayWith(FaultKind::kStuck).faults[0];
  EXPECT_LT(fault.start_s, bite.start_s);
  EXPECT_GT(fault.start_s + fault.length_s, bite.start_s + bite.shape.length_s);
}

TEST(PlantFault, TheZeroJumpsByAnEighthOfThePeak) {
  const SimBite& bite = PlainDay().bites[kBite];
  const Fault fault = DayWith(FaultKind::kZero).faults[0];
  EXPECT_NEAR(fault.amount, FiguresOf(bite.shape).peak_n / 8.0, 1e-9);
  EXPECT_GT(fault.start_s, bite.start_s);
  EXPECT_LT(fault.start_s, bite.start_s + bite.shape.length_s);
}

TEST(PlantFault, AChannelThatTheSleeveLacksBecomesItsLast) {
  EXPECT_EQ(DayWith(FaultKind::kLoose, 2).faults[0].channel, 2);
  EXPECT_EQ(DayWith(FaultKind::kLoose, 9).faults[0].channel, 3);
  EXPECT_EQ(DayWith(FaultKind::kLoose, -1).faults[0].channel, 0);
}

TEST(PlantFault, AnotherWordIsNoFault) {
  EXPECT_FALSE(FaultOf("").has_value());
  EXPECT_FALSE(FaultOf("gap ").has_value());
  EXPECT_FALSE(FaultOf("Gap").has_value());
}

}  // namespace
}  // namespace masseter::sim
