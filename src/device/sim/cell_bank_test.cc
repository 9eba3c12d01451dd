#include "device/sim/cell_bank.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

namespace masseter::sim {
namespace {

double ReadOne(CellBank& bank, double force_n) {
  std::array<double, 1> counts{};
  bank.Read(std::array<double, 1>{force_n}, 16.0, 1e6, 1, counts);
  return counts[0];
}

// Ratiometric bridge: counts = S F / F_N gain 2^(N-1); 2 mV/V, 5000 N, gain
// 128, 24 bits, 1234.5 N, full scale = reference / gain.
TEST(CellBank, CountsFollowTheRatiometricBridgeEquation) {
  SimSleeve sleeve = MakePerfectSleeve(1);
  sleeve.cells[0].capacity_n = 5000.0;
  sleeve.converter.reference_share = 1.0;
  CellBank bank(sleeve, 0.001, Random(1, 1));
  EXPECT_NEAR(ReadOne(bank, 1234.5), 530213.7126912, 1e-6);
}

TEST(CellBank, WordsStopAtTheEndsOfTheScale) {
  const SimSleeve sleeve = MakePerfectSleeve(1);
  EXPECT_EQ(CellBank::Word(sleeve, 1e9), 8388607);
  EXPECT_EQ(CellBank::Word(sleeve, -1e9), -8388608);
  EXPECT_EQ(CellBank::Word(sleeve, 41.4), 41);
  EXPECT_EQ(CellBank::Word(sleeve, -41.6), -42);
}

// Converters of this kind take half the reference as full scale, 1000 / 128 /
// 2 = 3.906 mV/V at gain 128 (20 mV at 5 V, data sheet practice): a 2 mV/V cell
// reaches 195.3 % of its capacity before the converter does.
TEST(CellBank, TheConverterRailsWellBeyondTheCellsCapacity) {
  const SimSleeve sleeve = MakePerfectSleeve(1);
  CellBank bank(sleeve, 0.001, Random(1, 1));
  const double cap = sleeve.cells[0].capacity_n;
  EXPECT_LT(CellBank::Word(sleeve, ReadOne(bank, 1.953 * cap)), 8388607);
  EXPECT_EQ(CellBank::Word(sleeve, ReadOne(bank, 1.9532 * cap)), 8388607);
}

TEST(CellBank, NoiseHasTheStandardDeviationThatWasAsked) {
  SimSleeve sleeve = MakePerfectSleeve(1);
  sleeve.cells[0].noise_n = 0.09;
  sleeve.cells[0].flicker_n = 0.0;
  CellBank bank(sleeve, 0.001, Random(9, 1));
  const int n = 40000;
  double mean = 0.0;
  std::vector<double> x(n);
  for (double& v : x) {
    v = ReadOne(bank, 0.0) / sleeve.CountsPerNewton(0);
    mean += v / n;
  }
  double square = 0.0;
  for (const double v : x) square += (v - mean) * (v - mean) / (n - 1);
  // Four standard errors of a standard deviation: sigma / sqrt(2 n).
  EXPECT_NEAR(std::sqrt(square), 0.09, 4 * 0.09 / std::sqrt(2.0 * n));
}

// Of a 1/f noise the mean over a long stretch scatters far more than that of
// white noise of the same size would.
TEST(CellBank, FlickerNoiseDoesNotAverageOut) {
  SimSleeve sleeve = MakePerfectSleeve(1);
  sleeve.cells[0].flicker_n = 0.09;
  CellBank bank(sleeve, 0.001, Random(9, 1));
  double square = 0.0;
  double means = 0.0;
  const int stretches = 400;
  for (int s = 0; s < stretches; ++s) {
    double mean = 0.0;
    for (int k = 0; k < 1000; ++k) {
      const double v = ReadOne(bank, 0.0) / sleeve.CountsPerNewton(0);
      square += v * v / (1000.0 * stretches);
      mean += v / 1000.0;
    }
    means += mean * mean / stretches;
  }
  EXPECT_NEAR(std::sqrt(square), 0.09, 0.02);
  EXPECT_GT(std::sqrt(means), 10.0 * 0.09 / std::sqrt(1000.0));
}

TEST(CellBank, ReadsLowerGoingUpThanComingDown) {
  SimSleeve sleeve = MakePerfectSleeve(1);
  sleeve.cells[0].hysteresis = 0.0002;
  CellBank bank(sleeve, 20.0, Random(1, 1));
  const double up = ReadOne(bank, 1000.0);
  ReadOne(bank, 2500.0);
  const double down = ReadOne(bank, 1000.0);
  // The whole loop: twice 0.02 % of capacity.
  EXPECT_NEAR((down - up) / sleeve.CountsPerNewton(0),
              2.0 * 0.0002 * sleeve.cells[0].capacity_n, 1e-6);
}

TEST(CellBank, CreepsByItsShareUnderAStandingLoad) {
  SimSleeve sleeve = MakePerfectSleeve(1);
  sleeve.cells[0].creep_slow = 0.0003;
  CellBank bank(sleeve, 1.0, Random(1, 1));
  double last = 0.0;
  for (int k = 0; k < 480; ++k) last = ReadOne(bank, 1000.0);
  EXPECT_NEAR(last / sleeve.CountsPerNewton(0) - 1000.0,
              0.3 * (1.0 - std::exp(-1.0)), 1e-6);
}

TEST(CellBank, ANeighbourLeaksInByTheCrosstalk) {
  SimSleeve sleeve = MakePerfectSleeve(2);
  sleeve.cells[0].crosstalk[1] = 0.002;
  CellBank bank(sleeve, 0.001, Random(1, 1));
  std::array<double, 2> counts{};
  bank.Read(std::array<double, 2>{0.0, 500.0}, 16.0, 1e6, 1, counts);
  EXPECT_NEAR(counts[0] / sleeve.CountsPerNewton(0), 1.0, 1e-9);
}

TEST(CellBank, ZeroMovesWithTemperatureAndByAJumpThatStays) {
  SimSleeve sleeve = MakePerfectSleeve(1);
  sleeve.cells[0].zero_n_per_c = 0.05;
  CellBank bank(sleeve, 0.001, Random(1, 1));
  bank.MoveZero(0, 14.0);
  std::array<double, 1> counts{};
  bank.Read(std::array<double, 1>{0.0}, 26.0, 1e6, 1, counts);
  EXPECT_NEAR(counts[0] / sleeve.CountsPerNewton(0), 14.5, 1e-9);
}

}  // namespace
}  // namespace masseter::sim
