#include "device/sim/plate.h"

#include <gtest/gtest.h>

#include <array>
#include <cstddef>
#include <vector>

#include "device/sim/random.h"

namespace masseter::sim {
namespace {

// Statics of a rigid plate on four identical elastic supports,
// R_i = P (1/4 + x x_i / sum x^2 + y y_i / sum y^2), worked for P = 1000 N at
// (10, 20) mm.
TEST(Plate, SharesALoadOverFourEqualCellsAsTheClosedFormDoes) {
  const std::vector<Support> four = {
      {50, 40, 600}, {50, -40, 600}, {-50, 40, 600}, {-50, -40, 600}};
  const std::array<double, 4> expected = {425.0, 175.0, 325.0, 75.0};
  std::array<double, 4> r{};
  Plate(four).ReactionsAt(1000.0, 10.0, 20.0, r);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_NEAR(r[i], expected[i], 1e-9);
}

// Three supports are statically determinate: the stiffnesses do not matter.
TEST(Plate, SharesALoadOverThreeCellsByStaticsAlone) {
  const std::vector<Support> three = {{0, 100, 300},
                                      {-86.60254037844386, -50, 900},
                                      {86.60254037844386, -50, 555}};
  const std::array<double, 3> expected = {
      466.66666666666663, 208.93163974770408, 324.40169358562923};
  std::array<double, 3> r{};
  Plate(three).ReactionsAt(1000.0, 10.0, 20.0, r);
  for (std::size_t i = 0; i < 3; ++i) EXPECT_NEAR(r[i], expected[i], 1e-9);
}

// Lever rule, two supports: R_1 = P (x_2 - x) / (x_2 - x_1).
TEST(Plate, TwoCellsOnALineFollowTheLeverRuleWhereverTheLineLies) {
  std::array<double, 2> r{};
  Plate(std::vector<Support>{{-60, 0, 500}, {60, 0, 800}})
      .ReactionsAt(900.0, 20.0, 0.0, r);
  EXPECT_NEAR(r[0], 900.0 * 40.0 / 120.0, 1e-9);
  EXPECT_NEAR(r[1], 900.0 * 80.0 / 120.0, 1e-9);
  // The same line turned to lie across, and along a diagonal.
  Plate(std::vector<Support>{{0, -60, 500}, {0, 60, 800}})
      .ReactionsAt(900.0, 0.0, 20.0, r);
  EXPECT_NEAR(r[1], 600.0, 1e-9);
  Plate(std::vector<Support>{{-60, -60, 500}, {60, 60, 800}})
      .ReactionsAt(900.0, 20.0, 20.0, r);
  EXPECT_NEAR(r[1], 600.0, 1e-9);
}

TEST(Plate, OneCellCarriesEverythingWhereverTheLoadIs) {
  std::array<double, 1> r{};
  Plate(std::vector<Support>{{5, -3, 700}}).ReactionsAt(321.0, 40.0, 9.0, r);
  EXPECT_DOUBLE_EQ(r[0], 321.0);
}

TEST(Plate, ForceAndMomentsBalanceForAnyPlateOfFourToSixCells) {
  Random random(11, 1);
  for (int trial = 0; trial < 200; ++trial) {
    std::vector<Support> cells(static_cast<std::size_t>(4 + random.Below(3)));
    for (Support& s : cells) {
      s = {random.Uniform(-90, 90), random.Uniform(-40, 40),
           random.Uniform(200, 900)};
    }
    std::vector<double> r(cells.size());
    const double x = random.Uniform(-80, 80);
    const double y = random.Uniform(-30, 30);
    Plate(cells).ReactionsAt(1000.0, x, y, r);
    double force = 0.0;
    double mx = 0.0;
    double my = 0.0;
    for (std::size_t i = 0; i < r.size(); ++i) {
      force += r[i];
      mx += r[i] * cells[i].x_mm;
      my += r[i] * cells[i].y_mm;
    }
    EXPECT_NEAR(force, 1000.0, 1e-8);
    EXPECT_NEAR(mx, 1000.0 * x, 1e-6);
    EXPECT_NEAR(my, 1000.0 * y, 1e-6);
  }
}

TEST(Plate, AStifferCellOfFourTakesMoreOfACentralLoad) {
  std::vector<Support> cells = {
      {50, 40, 600}, {50, -40, 600}, {-50, 40, 600}, {-50, -40, 1200}};
  std::array<double, 4> r{};
  Plate(cells).ReactionsAt(1000.0, 0.0, 0.0, r);
  EXPECT_GT(r[3], 250.0);
  EXPECT_NEAR(r[0] + r[1] + r[2] + r[3], 1000.0, 1e-9);
}

}  // namespace
}  // namespace masseter::sim
