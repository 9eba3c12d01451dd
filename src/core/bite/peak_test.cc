#include "core/bite/peak.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "core/bite/bite_testing.h"
#include "core/bite/force_series.h"
#include "core/signal/half_sine.h"

namespace masseter {
namespace {

using testing_bite::ForceOfTime;
using testing_bite::SeriesOf;

constexpr double kPi = std::numbers::pi;

ForceOfTime HalfSine(double amplitude, double width_s, double start_s) {
  return [=](double t) {
    const double x = (t - start_s) / width_s;
    return x > 0.0 && x < 1.0 ? amplitude * std::sin(kPi * x) : 0.0;
  };
}

// The series that a bite gets: raw newtons through the channel class filter.
ForceSeries Filtered(const ForceOfTime& force, double duration_s,
                     double rate_hz, double noise_n, std::uint64_t seed) {
  const Rig rig = testing_plate::OneCellRig(SignalUnit::kNewton, rate_hz);
  const ForceModel model = MakeForceModel(rig, nullptr);
  const testing_bite::Rows rows =
      testing_bite::OnOneCell(duration_s, force, {rate_hz, noise_n, seed});
  Timeline timeline(rig);
  SampleWindow window;
  timeline.Push(rows.Slice(0, rows.size()), window.block());
  return MakeForceSeries(window, 0, window.end_row(), model, ZeroPair{},
                         1.0 / rate_hz);
}

TEST(Peak, OfAHalfSineWithoutNoise) {
  for (const double rate : {500.0, 1000.0, 4000.0}) {
    const ForceSeries s =
        Filtered(HalfSine(1000.0, 0.1, 0.2), 0.5, rate, 0.0, 1);
    const PeakEstimate peak = FindPeak(s, 0, s.size(), 0.01);
    EXPECT_NEAR(peak.force_n, 1000.0, 1.0) << rate;
    EXPECT_NEAR(peak.at_s, 0.25, 0.001) << rate;
    EXPECT_NEAR(peak.width_s, 0.1, 0.01) << rate;
    EXPECT_NEAR(peak.sampling_loss, WorstSamplingLoss(0.1, rate),
                0.3 * WorstSamplingLoss(0.1, rate));
  }
}

// Up in 80 ms, then at once down again: the corner lies between the samples.
// What the parabola misses must lie within `kink_n`, wherever the samples fall;
// 5 % of play, since the flanks are not parabolas either.
TEST(Peak, AKinkBetweenSlowSamplesIsAllowedFor) {
  double worst = 0.0;
  for (int k = 0; k < 25; ++k) {
    const double corner = 0.3 + k * 0.0005;
    const ForceOfTime strike = [=](double t) {
      const double up = std::clamp((t - corner) / 0.08 + 1.0, 0.0, 1.0);
      const double rise = std::pow(std::sin(0.5 * kPi * up), 2.0);
      return t < corner ? 1000.0 * rise
                        : 600.0 + 400.0 * std::exp((corner - t) / 0.06);
    };
    const ForceSeries s = Filtered(strike, 0.8, 80.0, 0.0, 1);
    const PeakEstimate peak = FindPeak(s, 0, s.size(), 0.01);
    worst = std::max(worst, 1000.0 - peak.force_n);
    EXPECT_LE(1000.0 - peak.force_n, 1.05 * peak.kink_n + 1.0) << k;
    EXPECT_LT(peak.kink_n, 60.0) << k;
  }
  EXPECT_GT(worst, 8.0);  // else there was nothing to allow for
  // A round crest asks for little more than the half-sine's own loss.
  const ForceSeries round =
      Filtered(HalfSine(1000.0, 0.2, 0.2), 0.8, 80.0, 0.0, 1);
  EXPECT_LT(FindPeak(round, 0, round.size(), 0.01).kink_n, 10.0);
  const ForceSeries fast =
      Filtered(HalfSine(1000.0, 0.2, 0.2), 0.8, 1000.0, 0.0, 1);
  EXPECT_EQ(FindPeak(fast, 0, fast.size(), 0.01).kink_n, 0.0);
}

TEST(Peak, TheFilterDoesNotMoveIt) {
  // An uneven crest, slow up and quick down, is the hardest for that.
  const ForceOfTime crest = [](double t) {
    const double x = (t - 0.2) / 0.12;
    return x > 0.0 && x < 1.0 ? 800.0 * std::sin(kPi * std::pow(x, 1.3)) : 0.0;
  };
  const double top = 0.2 + 0.12 * std::pow(0.5, 1.0 / 1.3);
  const ForceSeries s = Filtered(crest, 0.6, 2000.0, 0.0, 1);
  ASSERT_GT(s.cutoff_hz, 0.0);
  const auto raw = std::max_element(s.raw_n.begin(), s.raw_n.end());
  const auto filtered =
      std::max_element(s.filtered_n.begin(), s.filtered_n.end());
  const auto raw_at = raw - s.raw_n.begin();
  const auto filtered_at = filtered - s.filtered_n.begin();
  EXPECT_LE(std::abs(raw_at - filtered_at), 1);
  EXPECT_NEAR(FindPeak(s, 0, s.size(), 0.05).at_s, top, 0.001);
}

TEST(Peak, NoiseDoesNotLiftIt) {
  // Two hundred draws: the mean error stays below one standard deviation of
  // the noise, and the stated noise uncertainty covers the scatter.
  constexpr double kNoise = 8.0;
  double mean = 0.0;
  double square = 0.0;
  double highest = 0.0;
  double stated = 0.0;
  for (std::uint64_t seed = 1; seed <= 200; ++seed) {
    const ForceSeries s =
        Filtered(HalfSine(600.0, 0.12, 0.2037), 0.5, 1000.0, kNoise, seed);
    const PeakEstimate peak = FindPeak(s, 0, s.size(), kNoise);
    mean += (peak.force_n - 600.0) / 200.0;
    square += (peak.force_n - 600.0) * (peak.force_n - 600.0) / 200.0;
    highest +=
        (*std::max_element(s.raw_n.begin(), s.raw_n.end()) - 600.0) / 200.0;
    stated += std::hypot(peak.noise_u_n, peak.shape_u_n) / 200.0;
  }
  const double scatter = std::sqrt(square - mean * mean);
  std::printf(
      "  peak bias %.2f N, scatter %.2f N (stated %.2f N), highest raw "
      "sample %.2f N, noise 8 N\n",
      mean, scatter, stated, highest);
  EXPECT_LT(std::abs(mean), kNoise);
  EXPECT_GT(highest, kNoise);  // what it would be without averaging
  EXPECT_LT(scatter, 1.5 * stated);
}

TEST(Peak, AtEightySamplesTheParabolaBeatsTheHighestSample) {
  // 50 ms half-sines at 80 samples a second, the phase swept over a sample:
  // the highest sample loses 7.6 % at worst, 2.6 % on average.
  double parabola = 0.0;
  double highest = 0.0;
  double worst = 0.0;
  for (int k = 0; k < 50; ++k) {
    const double start = 0.2 + k / 50.0 / 80.0;
    const ForceSeries s = SeriesOf(HalfSine(1000.0, 0.05, start), 0.5, 80.0);
    const PeakEstimate peak = FindPeak(s, 0, s.size(), 0.5);
    const double top = *std::max_element(s.raw_n.begin(), s.raw_n.end());
    parabola += std::abs(peak.force_n - 1000.0) / 50.0;
    highest += (1000.0 - top) / 50.0;
    worst = std::max(worst, 1000.0 - top);
    EXPECT_GT(peak.sampling_loss, 0.04) << k;
    EXPECT_LT(peak.sampling_loss, 0.12) << k;
  }
  std::printf(
      "  80 samples/s, 50 ms: parabola off by %.1f N, highest sample "
      "by %.1f N of 1000 N on average\n",
      parabola, highest);
  EXPECT_NEAR(worst, 1000.0 * WorstSamplingLoss(0.05, 80.0), 1.0);
  EXPECT_NEAR(highest, 1000.0 * MeanSamplingLoss(0.05, 80.0), 1.0);
  EXPECT_LT(parabola, 0.5 * highest);
}

TEST(Peak, AGapBesideTheCrestIsNotBridged) {
  ForceSeries s = SeriesOf(HalfSine(1000.0, 0.1, 0.2), 0.5, 1000.0);
  // The rising half is missing: samples jump from 0.19 s to 0.26 s.
  const auto a = static_cast<std::ptrdiff_t>(190);
  const auto b = static_cast<std::ptrdiff_t>(260);
  s.t_s.erase(s.t_s.begin() + a, s.t_s.begin() + b);
  s.raw_n.erase(s.raw_n.begin() + a, s.raw_n.begin() + b);
  s.filtered_n = s.raw_n;
  s.before.assign(s.t_s.size(), Break::kNone);
  s.before[190] = Break::kGap;
  const PeakEstimate peak = FindPeak(s, 0, s.size(), 0.01);
  EXPECT_EQ(peak.index, 190U);
  EXPECT_NEAR(peak.force_n, 1000.0 * std::sin(kPi * 0.6), 1e-9);
}

}  // namespace
}  // namespace masseter
