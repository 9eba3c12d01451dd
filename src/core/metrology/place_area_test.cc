#include "core/metrology/place_area.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/metrology/calibration.h"

namespace masseter {
namespace {

const std::vector<Place> kSquare = {{0, 0}, {10, 0}, {10, 10}, {0, 10}};

TEST(PlaceArea, TheHullOfASquareDropsWhatLiesInsideOrTwice) {
  const std::vector<Place> hull = ConvexHull(
      {{10, 10}, {5, 5}, {0, 0}, {10, 0}, {0, 0}, {0, 10}, {5, 0}, {3, 7}});
  EXPECT_EQ(hull, kSquare);  // counter-clockwise from the lowest x
}

TEST(PlaceArea, PointsOnALineHaveTwoEnds) {
  const std::vector<Place> hull = ConvexHull({{5, 0}, {-20, 0}, {30, 0}});
  ASSERT_EQ(hull.size(), 2U);
  EXPECT_NEAR(DistanceToHull(hull, {40, 0}), 10.0, 1e-12);
  EXPECT_NEAR(DistanceToHull(hull, {0, 7}), 7.0, 1e-12);
  EXPECT_EQ(ConvexHull({{1, 2}, {1, 2}}).size(), 1U);
}

TEST(PlaceArea, DistanceIsZeroInsideAndEuclideanOutside) {
  EXPECT_EQ(DistanceToHull(kSquare, {5, 5}), 0.0);
  EXPECT_EQ(DistanceToHull(kSquare, {0, 5}), 0.0);
  EXPECT_NEAR(DistanceToHull(kSquare, {5, -2}), 2.0, 1e-12);
  EXPECT_NEAR(DistanceToHull(kSquare, {13, 14}), 5.0, 1e-12);  // 3, 4, 5
  EXPECT_TRUE(std::isinf(DistanceToHull({}, {0, 0})));
}

TEST(PlaceArea, AMarginWidensTheArea) {
  EXPECT_TRUE(InArea(kSquare, {12, 5}, 2.5));
  EXPECT_FALSE(InArea(kSquare, {12, 5}, 1.5));
  EXPECT_FALSE(InArea({}, {0, 0}, 1e9));
}

}  // namespace
}  // namespace masseter
