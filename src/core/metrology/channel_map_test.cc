#include "core/metrology/channel_map.h"

#include <gtest/gtest.h>

#include <cmath>

#include "core/metrology/estimator_fit.h"
#include "core/metrology/plate_testing.h"

namespace masseter {
namespace {

using testing_plate::Plate;

// Loads of the test plate at nine places, without noise.
BenchSet LoadsOf(const Plate& plate, double seam = 0.0) {
  BenchSet bench;
  bench.cells = plate.Cells();
  for (const double x : {-45.0, 0.0, 45.0}) {
    for (const double y : {-15.0, 0.0, 15.0}) {
      bench.positions.push_back({x, y});
      for (const double force : {100.0, 400.0}) {
        BenchLoad load;
        load.v = plate.Signals(force, {x, y});
        for (std::size_t c = 0; c < 4; ++c) load.v[c] -= plate.zero[c];
        // A seam that takes from one cell when loaded off centre.
        load.v[0] *= 1.0 - seam * x * x / 3600.0;
        load.force_n = force;
        load.position = static_cast<int>(bench.positions.size()) - 1;
        bench.loads.push_back(load);
      }
    }
  }
  return bench;
}

Estimator GainsOf(const Plate& plate) {
  Estimator e;
  e.form = EstimatorForm::kGains;
  for (const double counts : plate.counts_per_n) e.gain.push_back(1.0 / counts);
  e.coeffs.assign(4, 1.0);
  e.cells = plate.Cells();
  return e;
}

std::vector<double> GainedAt(const Plate& plate, double force, Place at) {
  std::vector<double> p = plate.Signals(force, at);
  for (std::size_t c = 0; c < 4; ++c) {
    p[c] = (p[c] - plate.zero[c]) / plate.counts_per_n[c];
  }
  return p;
}

TEST(ChannelMap, ARigidPlateTellsEachCellFromTheOtherThree) {
  // F1 + F4 = F2 + F3 on a rectangle of equal springs (statics).
  const Plate plate;
  const ChannelMap map = FitChannelMap(GainsOf(plate), LoadsOf(plate));
  ASSERT_TRUE(map.Predicts());
  for (const Place at : {Place{13.0, -7.0}, Place{-40.0, 11.0}}) {
    const std::vector<double> p = GainedAt(plate, 730.0, at);
    for (std::size_t c = 0; c < 4; ++c) {
      EXPECT_NEAR(map.Predict(c, p), p[c], 1e-6 * 730.0) << c;
      EXPECT_LT(map.channel[c].relative_sd, 1e-9) << c;
    }
  }
}

TEST(ChannelMap, DoesNotReadTheChannelThatItPredicts) {
  const Plate plate;
  const ChannelMap map = FitChannelMap(GainsOf(plate), LoadsOf(plate));
  std::vector<double> p = GainedAt(plate, 500.0, {10.0, 5.0});
  const double before = map.Predict(2, p);
  p[2] = -1e6;
  EXPECT_EQ(map.Predict(2, p), before);
}

TEST(ChannelMap, ItsErrorGrowsWithWhatThePlaneDoesNotExplain) {
  const Plate plate;
  const ChannelMap map = FitChannelMap(GainsOf(plate), LoadsOf(plate, 0.08));
  ASSERT_TRUE(map.Predicts());
  EXPECT_GT(map.channel[0].relative_sd, 1e-4);
  EXPECT_LT(map.channel[0].relative_sd, 0.03);
}

TEST(ChannelMap, FourPlacesOrThreeChannelsDoNotPredict) {
  const Plate plate;
  BenchSet few = LoadsOf(plate);
  std::erase_if(few.loads, [](const BenchLoad& l) { return l.position > 3; });
  few.positions.resize(4);
  EXPECT_FALSE(FitChannelMap(GainsOf(plate), few).Predicts());
  BenchSet three = LoadsOf(plate);
  for (BenchLoad& load : three.loads) load.v.resize(3);
  Estimator e = GainsOf(plate);
  e.gain.resize(3);
  e.coeffs.resize(3);
  const ChannelMap map = FitChannelMap(e, three);
  EXPECT_FALSE(map.Predicts());
  EXPECT_EQ(map.lowest_ratio.size(), 3U);
}

TEST(ChannelMap, KnowsTheLowestShareOfTheBench) {
  const Plate plate;
  const ChannelMap map = FitChannelMap(GainsOf(plate), LoadsOf(plate));
  // Cell 1 at (-60, -25) with the load at (45, 15): share 1/4 (1 - 3/4 - 3/5).
  const double share = 0.25 * (1.0 - 0.75 - 0.6);
  EXPECT_NEAR(map.lowest_ratio[0], share / (1.0 - share), 1e-9);
  // The shell takes nothing in the middle, and something everywhere else.
  EXPECT_NEAR(map.lowest_force_ratio, 1.0, 1e-9);
}

}  // namespace
}  // namespace masseter
