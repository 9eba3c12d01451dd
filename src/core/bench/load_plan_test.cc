#include "core/bench/load_plan.h"

#include <gtest/gtest.h>

namespace masseter {
namespace {

Rig FourCells() {
  Rig rig;
  rig.sample_rate_hz = 1000.0;
  rig.safe_load = Force(6000.0);
  for (const double x : {-0.06, 0.06}) {
    for (const double y : {-0.02, 0.02}) {
      Channel c;
      c.name = "c" + std::to_string(rig.channels.size() + 1);
      c.x = Length(x);
      c.y = Length(y);
      c.capacity = Force(1500.0);
      rig.channels.push_back(c);
    }
  }
  return rig;
}

TEST(LoadPlan, InFullHasElevenPlacesThreeSeriesAndComesBackDown) {
  const auto plan = MakeLoadPlan(FourCells(), {});
  ASSERT_TRUE(plan);
  EXPECT_EQ(plan->places.size(), 11U);
  EXPECT_EQ(plan->series, 3);
  EXPECT_EQ(plan->loads, (std::vector<double>{5, 10, 20, 40, 60}));
  // zero, 5 up, 4 down, zero
  EXPECT_EQ(StepsOf(*plan).size(), 3U * 11U * 11U);
}

TEST(LoadPlan, StepsRiseAndFallBetweenTwoZeros) {
  PlanRequest request;
  request.loads = {2, 4};
  request.places = {{0, 0}};
  request.series = 1;
  const auto plan = MakeLoadPlan(FourCells(), request);
  ASSERT_TRUE(plan);
  const auto steps = StepsOf(*plan);
  ASSERT_EQ(steps.size(), 5U);
  const double loads[] = {0, 2, 4, 2, 0};
  const bool rising[] = {true, true, true, false, false};
  for (std::size_t i = 0; i < 5; ++i) {
    EXPECT_EQ(steps[i].load, loads[i]) << i;
    EXPECT_EQ(steps[i].rising, rising[i]) << i;
  }
}

TEST(LoadPlan, LineOfCellsGetsPlacesAlongIt) {
  Rig rig = FourCells();
  for (Channel& c : rig.channels) c.y = Length(0.0);
  const auto plan = MakeLoadPlan(rig, {});
  ASSERT_TRUE(plan);
  EXPECT_EQ(plan->places.size(), 5U);
  for (const Place& p : plan->places) EXPECT_EQ(p.y_mm, 0.0);
}

TEST(LoadPlan, StaysBelowWhatASingleCellBears) {
  Rig rig = FourCells();
  for (Channel& c : rig.channels) c.capacity = Force(200.0);
  const auto plan = MakeLoadPlan(rig, {});
  ASSERT_TRUE(plan);
  EXPECT_GE(plan->loads.size(), 4U);
  EXPECT_LE(plan->loads.back() * 9.80665, 180.0);
  PlanRequest heavy;
  heavy.loads = {5, 40};
  const auto refused = MakeLoadPlan(rig, heavy);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().where, "--masses");
}

TEST(LoadPlan, RefusesLoadsThatDoNotRise) {
  PlanRequest request;
  request.loads = {10, 5};
  EXPECT_FALSE(MakeLoadPlan(FourCells(), request));
  request.loads = {0, 5};
  EXPECT_FALSE(MakeLoadPlan(FourCells(), request));
}

TEST(LoadPlan, PromiseFollowsTheClosedFormForAFactorAlone) {
  // With no edge share to learn, the factor's posterior variance is that of a
  // mean of series times places readings: placing^2 / (series places).
  SleeveGuess guess;
  guess.edge_low = guess.edge_high = 1e-9;
  LoadPlan plan;
  plan.places = {{0, 0}, {60, 20}, {-60, 20}, {60, -20}, {-60, -20}};
  plan.loads = {5, 10, 20};
  plan.series = 4;
  const PlanPromise promise = PromiseOf(FourCells(), plan, guess);
  EXPECT_NEAR(promise.place_u, guess.placing / std::sqrt(20.0), 1e-8);
}

TEST(LoadPlan, ShorterPlanPromisesLessAndSaysSo) {
  const Rig rig = FourCells();
  PlanRequest request;
  const auto full = MakeLoadPlan(rig, request);
  request.brief = true;
  const auto brief = MakeLoadPlan(rig, request);
  ASSERT_TRUE(full && brief);
  const PlanPromise a = PromiseOf(rig, *full);
  const PlanPromise b = PromiseOf(rig, *brief);
  EXPECT_LT(b.readings * 4, a.readings);
  EXPECT_GT(b.expanded_u95, 1.2 * a.expanded_u95);
  EXPECT_NE(CostInWords(b, a).find("hysteresis"), std::string::npos);
}

TEST(LoadPlan, OneCellKeepsTheWholeSpreadOfPlacesHoweverManyItHas) {
  Rig rig = FourCells();
  rig.channels.resize(1);
  rig.channels[0].x = Length(0.0);
  rig.channels[0].y = Length(0.0);
  const auto plan = MakeLoadPlan(rig, {});
  ASSERT_TRUE(plan);
  EXPECT_GT(PromiseOf(rig, *plan).place_u, 0.01);
}

}  // namespace
}  // namespace masseter
