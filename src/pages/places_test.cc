#include "pages/places.h"

#include <gtest/gtest.h>

#include <vector>

namespace masseter {
namespace {

TEST(Places, GiveEachNetworkItsShareAndTakeItBack) {
  Places places(16, 2);
  auto one = places.Take("192.0.2.7", false);
  auto two = places.Take("192.0.2.7", false);
  EXPECT_TRUE(one && two);
  EXPECT_FALSE(places.Take("192.0.2.7", false));
  EXPECT_TRUE(places.Take("192.0.2.8", false));
  const Places::Place moved = std::move(*one);
  one.reset();
  EXPECT_FALSE(places.Take("192.0.2.7", false));
  two.reset();
  EXPECT_TRUE(places.Take("192.0.2.7", false));
  EXPECT_EQ(places.taken(), 1U);
}

TEST(Places, KeepSomeForThisMachineHoweverManyCome) {
  Places places(16, 2);
  std::vector<Places::Place> taken;
  for (int i = 0; i < 100; ++i) {
    auto place = places.Take("198.51.100." + std::to_string(i), false);
    if (place) taken.push_back(std::move(*place));
  }
  EXPECT_EQ(taken.size(), 14U);
  for (int i = 0; i < 5; ++i) {
    auto place = places.Take("127.0.0.1", true);
    if (place) taken.push_back(std::move(*place));
  }
  EXPECT_EQ(taken.size(), 16U);
}

}  // namespace
}  // namespace masseter
