// The claim that matters most: the 95 % interval of the peak holds the true
// peak. Sleeves, bench days and bites are drawn by the tests' own generator;
// each sleeve is calibrated by its own imperfect readings.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

#include "core/bite/bite_testing.h"
#include "core/bite/pipeline.h"

namespace masseter {
namespace {

using testing_bite::BiteSpec;
using testing_bite::Device;
using testing_bite::ForceOfTime;
using testing_plate::BenchDay;
using testing_plate::Draw;
using testing_plate::Plate;

constexpr int kSleeves = 60;
constexpr int kBites = 5;  // of each, each at its own place

Plate DrawPlate(Draw& draw) {
  Plate plate;
  plate.shell = draw.Uniform(0.0, 0.10);
  plate.tilt = draw.Uniform(-0.02, 0.02);
  for (double& s : plate.counts_per_n) s = draw.Uniform(180.0, 220.0);
  for (double& z : plate.zero) z = draw.Uniform(-3000.0, 3000.0);
  return plate;
}

BenchDay DrawDay(Draw& draw, std::uint64_t seed) {
  BenchDay day;
  day.seed = seed;
  day.series = 2;
  day.masses_kg = {5, 25, 50, 75};
  day.noise_counts = 10.0;
  day.drift_counts = draw.Uniform(-60.0, 60.0);
  day.hysteresis = draw.Uniform(0.0, 0.004);
  // Weights rest for seconds and the cover creeps under them; a bite does not
  // wait for that. Weights of a gym are off by up to their tolerance.
  day.creep = draw.Uniform(-0.005, 0.005);
  day.weight_tolerance = 5e-4;
  return day;
}

BiteSpec DrawBite(Draw& draw) {
  BiteSpec spec;
  spec.duration_s = draw.Uniform(0.6, 2.5);
  spec.strike_n = draw.Uniform(100.0, 1200.0);
  spec.strike_width_s = draw.Uniform(0.04, 0.16);
  spec.squeeze_n = spec.strike_n * draw.Uniform(0.4, 1.1);
  return spec;
}

double TruePeak(const BiteSpec& spec) {
  double peak = 0.0;
  for (double t = 0.0; t < spec.duration_s; t += 2e-5) {
    peak = std::max(peak, spec(spec.start_s + t));
  }
  return peak;
}

TEST(Coverage, TheIntervalHoldsTheTruePeakOf300BitesOn60Sleeves) {
  Draw draw(20240);
  int inside = 0;
  int all = 0;
  double width = 0.0;
  for (int s = 0; s < kSleeves; ++s) {
    const Plate plate = DrawPlate(draw);
    const Calibration calibration = testing_bite::CalibrationOf(
        plate, DrawDay(draw, static_cast<std::uint64_t>(500 + s)));
    const double rate = s % 3 == 0 ? 320.0 : 1000.0;
    const Rig rig = testing_plate::FourCellRig(plate, rate);
    for (int k = 0; k < kBites; ++k) {
      const BiteSpec spec = DrawBite(draw);
      const Place at{draw.Uniform(-45.0, 45.0), draw.Uniform(-15.0, 15.0)};
      const ForceOfTime force = spec;
      const auto rows = testing_bite::OnPlate(
          plate, at, 6.5, force,
          {rate, draw.Uniform(10.0, 120.0),
           static_cast<std::uint64_t>(10000 + 100 * s + k)});
      const auto bites = testing_bite::RunPipeline(rig, &calibration, rows);
      ASSERT_EQ(bites.size(), 1U) << s << " " << k;
      const Bite& b = bites[0].bite;
      ASSERT_TRUE(b.peak_n && b.peak_u95_n);
      const double low = b.peak_lo_n.value_or(*b.peak_n - *b.peak_u95_n);
      const double high = b.peak_hi_n.value_or(*b.peak_n + *b.peak_u95_n);
      const double peak = TruePeak(spec);
      inside += low <= peak && peak <= high ? 1 : 0;
      width += *b.peak_u95_n / peak;
      ++all;
    }
  }
  std::printf("  seed 20240: %d of %d inside, half-width %.2f %% on average\n",
              inside, all, 100.0 * width / all);
  ASSERT_EQ(all, 300);
  // 95 % of 300 is 285 with a standard deviation of 3.8 (binomial): below
  // 92 % (276) the claim is false; above 99.5 % (298) the interval says less
  // than it knows. Rectangular terms taken as normal lean to the safe side.
  EXPECT_GE(inside, 276);
  EXPECT_LE(inside, 298);
  EXPECT_LT(width / all, 0.03);
}

}  // namespace
}  // namespace masseter
