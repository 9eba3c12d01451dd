#include "device/sim/load_path.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>
#include <vector>

#include "device/sim/portable_math.h"
#include "device/sim/stream.h"

namespace masseter::sim {
namespace {

double Sum(std::span<const double> values) {
  return std::accumulate(values.begin(), values.end(), 0.0);
}

TEST(ShellShare, IsNothingOverTheMiddleAndGrowsFasterThanDistance) {
  SimSleeve sleeve = MakePerfectSleeve(4);
  sleeve.shell.edge_share = 0.03;
  EXPECT_DOUBLE_EQ(ShellShare(sleeve, {0, 0, 0, 0}, 500.0), 0.0);
  const double near = ShellShare(sleeve, {30, 0, 0, 0}, 500.0);
  const double far = ShellShare(sleeve, {60, 0, 0, 0}, 500.0);
  EXPECT_GT(near, 0.0);
  EXPECT_GT(far, 2.0 * near);
  EXPECT_LT(far, 0.05);
}

TEST(ShellShare, OfAWideGripIsMoreThanOfAPoint) {
  SimSleeve sleeve = MakePerfectSleeve(4);
  sleeve.shell.edge_share = 0.03;
  EXPECT_GT(ShellShare(sleeve, {0, 0, 12, 14}, 500.0), 0.0);
}

// Equilibrium: what the shell does not carry, the cells do.
TEST(LoadPath, CellsCarryTheForceLessTheShellsShareOnceSettled) {
  for (int n = 1; n <= kMaxCells; ++n) {
    const SimSleeve sleeve = MakeSleeve(5, n);
    LoadPath path(sleeve, 1.0 / 8000.0);
    const SimGrip grip{35.0, 8.0, 12.0, 14.0};
    PlateLoad load;
    AddLoad(sleeve, path.plate(), 800.0, grip, load);
    for (int k = 0; k < 8000 * 12; ++k) path.Step(load);
    const double share = ShellShare(sleeve, grip, 800.0);
    EXPECT_GT(share, 0.001);
    EXPECT_NEAR(Sum(path.cell_forces_n()), 800.0 * (1.0 - share), 1e-4) << n;
  }
}

// f = sqrt(k / m) / (2 pi); ring-down: the logarithm of the ratio of two
// overshoots one period apart is 2 pi zeta / sqrt(1 - zeta^2).
TEST(LoadPath, RingsAtTheFrequencyAndDampingOfItsMassOnItsCells) {
  SimSleeve sleeve = MakePerfectSleeve(4);
  sleeve.converter.bandwidth_hz = 20000.0;
  sleeve.cover.contact_tau_s = 0.0;
  const double expected_hz = std::sqrt(2.4e6 / 0.35) / (2.0 * kPi);
  EXPECT_NEAR(sleeve.NaturalFrequencyHz(), expected_hz, 1e-9);
  const double step = 1e-6;
  LoadPath path(sleeve, step);
  PlateLoad load;
  AddLoad(sleeve, path.plate(), 100.0, {}, load);
  std::vector<double> tops;
  std::vector<double> times;
  double before = 0.0;
  double now = 0.0;
  for (int k = 0; tops.size() < 4; ++k) {
    path.Step(load);
    const double next = Sum(path.cell_forces_n());
    if (now > before && now >= next) {
      tops.push_back(now - 100.0);
      times.push_back((k - 1) * step);
    }
    before = now;
    now = next;
  }
  const double zeta = sleeve.damping_ratio;
  const double root = std::sqrt(1.0 - zeta * zeta);
  EXPECT_NEAR(3.0 / (times[3] - times[0]), expected_hz * root, 1.0);
  EXPECT_NEAR(std::log(tops[1] / tops[2]), 2.0 * kPi * zeta / root, 0.01);
}

TEST(LoadPath, TheCoverLetsTheZeroReturnSlowly) {
  SimSleeve sleeve = MakePerfectSleeve(4);
  sleeve.cover.slow_share = 0.002;
  sleeve.cover.slow_tau_s = 0.5;
  LoadPath path(sleeve, 1.0 / 8000.0);
  PlateLoad load;
  AddLoad(sleeve, path.plate(), 1000.0, {}, load);
  for (int k = 0; k < 8000 * 10; ++k) path.Step(load);
  for (int k = 0; k < 8000 / 2; ++k) path.Step({});
  // 0.2 % of 1000 N, less by 1/e after one time constant.
  EXPECT_NEAR(Sum(path.cell_forces_n()), 2.0 * std::exp(-1.0), 0.01);
}

}  // namespace
}  // namespace masseter::sim
