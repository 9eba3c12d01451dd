#include "core/study/running_order.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <set>

namespace masseter {
namespace {

// The property that defines the designs (Williams 1949; Jones and Kenward,
// Design and Analysis of Cross-Over Trials): every treatment once a row,
// equally often in every column, and after every other treatment equally often.
TEST(WilliamsDesign, BalancesPlaceAndPredecessor) {
  for (int n = 1; n <= 25; ++n) {
    SCOPED_TRACE(n);
    const auto rows = WilliamsDesign(n);
    const int times = n % 2 == 0 || n == 1 ? 1 : 2;
    ASSERT_EQ(static_cast<int>(rows.size()), times * n);
    std::map<std::pair<int, int>, int> follows;
    std::map<std::pair<int, int>, int> stands;
    for (const Sequence& row : rows) {
      EXPECT_EQ(std::set<int>(row.begin(), row.end()).size(), row.size());
      for (std::size_t i = 0; i < row.size(); ++i) {
        ++stands[{static_cast<int>(i), row[i]}];
        if (i > 0) ++follows[{row[i - 1], row[i]}];
      }
    }
    EXPECT_EQ(static_cast<int>(stands.size()), n * n);
    for (const auto& [key, count] : stands) EXPECT_EQ(count, times);
    EXPECT_EQ(static_cast<int>(follows.size()), n * (n - 1));
    for (const auto& [key, count] : follows) EXPECT_EQ(count, times);
  }
}

// The design for four treatments as it is printed in textbooks.
TEST(WilliamsDesign, IsTheTextbooksForFour) {
  EXPECT_EQ(WilliamsDesign(4)[0], (Sequence{0, 1, 3, 2}));
  EXPECT_EQ(WilliamsDesign(4)[1], (Sequence{1, 2, 0, 3}));
}

TEST(RunningOrder, IsBalancedOverAFullSetOfRounds) {
  OrderWish w;
  w.dogs = 6;
  w.bites = 6;
  const auto order = MakeRunningOrder(w);
  ASSERT_TRUE(order.has_value());
  EXPECT_EQ(order->turns.size(), 36U);
  EXPECT_EQ(order->balance.follows_least, 1);
  EXPECT_EQ(order->balance.follows_most, 1);
  EXPECT_DOUBLE_EQ(order->balance.place_least, 3.5);
  EXPECT_DOUBLE_EQ(order->balance.place_most, 3.5);
}

TEST(RunningOrder, KeepsMeanPlacesEqualInFewerRounds) {
  for (const int dogs : {3, 8, 9, 12}) {
    OrderWish w;
    w.dogs = dogs;
    w.bites = 4;
    w.practice = 1;
    const auto order = MakeRunningOrder(w);
    ASSERT_TRUE(order.has_value());
    EXPECT_EQ(order->turns.size(), static_cast<std::size_t>(5 * dogs));
    EXPECT_NEAR(order->balance.place_least, (dogs + 1) / 2.0, 1e-12) << dogs;
    EXPECT_NEAR(order->balance.place_most, (dogs + 1) / 2.0, 1e-12) << dogs;
    EXPECT_LE(order->balance.follows_most, dogs == 3 ? 2 : 1) << dogs;
  }
}

TEST(RunningOrder, LetsEveryDogRest) {
  OrderWish w;
  w.dogs = 2;
  w.bites = 5;
  w.minutes_per_bite = 2.0;
  w.rest_minutes = 15.0;
  const auto order = MakeRunningOrder(w);
  ASSERT_TRUE(order.has_value());
  std::map<int, double> last;
  for (const Turn& t : order->turns) {
    if (last.contains(t.dog)) {
      EXPECT_GE(t.minute - last[t.dog], 17.0);
    }
    last[t.dog] = t.minute;
  }
  EXPECT_GE(order->balance.shortest_rest, 15.0);
}

TEST(RunningOrder, SpreadsBitesOverDays) {
  OrderWish w;
  w.dogs = 4;
  w.bites = 6;
  w.practice = 1;
  w.bites_per_day = 3;
  const auto order = MakeRunningOrder(w);
  ASSERT_TRUE(order.has_value());
  EXPECT_EQ(order->day_minutes.size(), 3U);
  std::map<std::pair<int, int>, int> a_day;
  for (const Turn& t : order->turns) ++a_day[{t.day, t.dog}];
  for (const auto& [key, count] : a_day) EXPECT_LE(count, 3);
}

TEST(RunningOrder, GivesEveryDogEveryConditionEquallyOften) {
  OrderWish w;
  w.dogs = 6;
  w.bites = 6;
  w.conditions = 3;
  const auto order = MakeRunningOrder(w);
  ASSERT_TRUE(order.has_value());
  std::map<std::pair<int, int>, int> had;
  std::map<std::pair<int, int>, int> first;
  for (const Turn& t : order->turns) {
    ++had[{t.dog, t.condition}];
    if (t.bite == 1) ++first[{0, t.condition}];
  }
  EXPECT_EQ(had.size(), 18U);
  for (const auto& [key, count] : had) EXPECT_EQ(count, 2);
  for (const auto& [key, count] : first) EXPECT_EQ(count, 2);
}

TEST(RunningOrder, IsTheSameForTheSameSeed) {
  OrderWish w;
  w.dogs = 5;
  w.bites = 4;
  const auto dogs = [](const RunningOrder& o) {
    Sequence out;
    for (const Turn& t : o.turns) out.push_back(t.dog);
    return out;
  };
  EXPECT_EQ(dogs(*MakeRunningOrder(w)), dogs(*MakeRunningOrder(w)));
  OrderWish other = w;
  other.seed = 2;
  EXPECT_NE(dogs(*MakeRunningOrder(w)), dogs(*MakeRunningOrder(other)));
}

TEST(RunningOrder, RefusesNoDogsAndNegativeRest) {
  EXPECT_FALSE(MakeRunningOrder({}).has_value());
  OrderWish w;
  w.dogs = 2;
  w.bites = 2;
  w.rest_minutes = -1.0;
  EXPECT_FALSE(MakeRunningOrder(w).has_value());
}

}  // namespace
}  // namespace masseter
