#include "core/bench/check_load.h"

#include <algorithm>
#include <cmath>

#include "core/metrology/reference_force.h"
#include "core/metrology/type_b.h"

namespace masseter {
namespace {

constexpr double kZeroShare = 0.1;
constexpr double kGravityOfThePlace = 1e-4;
constexpr double kCover = 1.959963984540054;  // 95 %, normal

std::vector<double> Minus(const std::vector<double>& a,
                          const std::vector<double>& b) {
  std::vector<double> out(a.size());
  for (std::size_t c = 0; c < a.size(); ++c) out[c] = a[c] - b[c];
  return out;
}

std::vector<double> MiddleOf(const SettledReading& a, const SettledReading* b) {
  if (b == nullptr) return a.mean;
  std::vector<double> out(a.mean.size());
  for (std::size_t c = 0; c < out.size(); ++c) {
    out[c] = 0.5 * (a.mean[c] + b->mean[c]);
  }
  return out;
}

// Standard error of a window's means in newtons, channels independent.
double NoiseN(const std::vector<double>& slope, const SettledReading& r) {
  double squares = 0.0;
  for (std::size_t c = 0; c < slope.size(); ++c) {
    const double u = slope[c] * r.sd[c];
    squares += u * u / static_cast<double>(std::max<std::size_t>(r.samples, 1));
  }
  return std::sqrt(squares);
}

}  // namespace

double Tolerance::LimitAt(double force_n) const {
  return std::max(newtons, relative * std::abs(force_n));
}

Expected<KnownLoad> LoadOfMass(double mass_kg, double gravity_m_s2,
                               double tolerance) {
  if (!(mass_kg > 0.0)) return BadInput("--mass", "must be above zero");
  const auto force =
      ConventionalMassForce(Mass(mass_kg), Acceleration(gravity_m_s2));
  if (!force) return tl::unexpected(force.error());
  const double u =
      std::hypot(RectangularSd(tolerance), RectangularSd(kGravityOfThePlace));
  return KnownLoad{force->si(), kCover * u * force->si()};
}

CheckResult JudgeCheck(const Calibration& calibration, const KnownLoad& load,
                       const SettledReading& zero, const SettledReading& loaded,
                       const SettledReading* zero_after,
                       const std::optional<Tolerance>& tolerance) {
  const Estimator& estimator = calibration.estimator;
  const auto v = Minus(loaded.mean, MiddleOf(zero, zero_after));
  CheckResult out;
  out.load_n = load.force_n;
  out.load_u95_n = load.expanded_n;
  out.sleeve_n = estimator.Force(v);
  if (calibration.place_seen) out.place = estimator.Centre(v);
  const auto slope = estimator.Sensitivity(v);
  if (zero_after != nullptr) {
    const auto moved = Minus(zero_after->mean, zero.mean);
    for (std::size_t c = 0; c < moved.size(); ++c) {
      out.zero_change_n += slope[c] * moved[c];
    }
  }
  const double noise = std::hypot(NoiseN(slope, loaded), NoiseN(slope, zero));
  const double rest =
      std::hypot(std::hypot(calibration.absolute_standard_u_n, noise),
                 RectangularSd(0.5 * std::abs(out.zero_change_n)));
  out.sleeve_u95_n =
      std::hypot(calibration.expanded_relative_u95 * std::abs(load.force_n),
                 kCover * rest);
  out.difference_n = out.sleeve_n - out.load_n;
  const double both = std::hypot(out.sleeve_u95_n, out.load_u95_n);
  out.e_n = both > 0.0 ? std::abs(out.difference_n) / both : 0.0;
  out.limit_n = tolerance ? tolerance->LimitAt(load.force_n) : both;
  out.within = std::abs(out.difference_n) <= out.limit_n;
  return out;
}

namespace {

// Every settled window of the samples, one after the other.
std::vector<SettledReading> SettledWindows(const SampleBlock& samples,
                                           std::size_t channels,
                                           const SettleRule& rule,
                                           const std::vector<double>& full) {
  SettleWatch watch(channels, rule);
  watch.SetFullSignal(full);
  watch.Begin();
  std::vector<SettledReading> out;
  std::vector<double> v(channels);
  for (std::size_t i = 0; i < samples.size(); ++i) {
    for (std::size_t c = 0; c < channels; ++c) v[c] = samples.channel[c][i];
    watch.Add(samples.t_s[i], v, samples.before[i] != Break::kNone,
              std::nullopt);
    if (!watch.settled()) continue;
    out.push_back(*watch.Take());
    watch.Begin();
  }
  return out;
}

// How far each channel goes from its first sample: the size of a full signal.
std::vector<double> FullSignal(const SampleBlock& samples) {
  std::vector<double> full;
  double most = 0.0;
  for (const auto& channel : samples.channel) {
    const auto [low, high] =
        std::minmax_element(channel.begin(), channel.end());
    full.push_back(std::max(*high - channel.front(), channel.front() - *low));
    most = std::max(most, full.back());
  }
  for (double& f : full) f = std::max(f, 0.25 * most);
  return full;
}

}  // namespace

Expected<CheckWindows> FindCheckWindows(const Calibration& calibration,
                                        const SampleBlock& samples,
                                        const SettleRule& rule) {
  const Estimator& estimator = calibration.estimator;
  if (samples.size() == 0) return BadInput("", "holds no sample");
  const auto windows =
      SettledWindows(samples, estimator.channels(), rule, FullSignal(samples));
  if (windows.empty()) {
    return BadInput("",
                    "the sleeve stands still nowhere for long enough; take the "
                    "zero and the load with nothing moving");
  }
  const auto force = [&](const SettledReading& r) {
    return estimator.Force(Minus(r.mean, windows.front().mean));
  };
  const auto loaded = std::max_element(
      windows.begin(), windows.end(),
      [&](const auto& a, const auto& b) { return force(a) < force(b); });
  const auto lowest = std::min_element(
      windows.begin(), windows.end(),
      [&](const auto& a, const auto& b) { return force(a) < force(b); });
  const double most = force(*loaded);
  if (force(*lowest) < -0.5 * std::max(most, 1.0)) {
    return BadInput("", "begins under load; begin with the sleeve unloaded");
  }
  // Noise alone makes one window a little higher than the first.
  if (loaded == windows.begin() || most < 1.0) {
    return BadInput("", "no load follows the zero");
  }
  CheckWindows out{windows.front(), *loaded, std::nullopt};
  for (auto w = windows.begin(); w != windows.end(); ++w) {
    if (force(*w) >= kZeroShare * most) continue;
    if (w < loaded) out.zero = *w;
    if (w > loaded && !out.zero_after) out.zero_after = *w;
  }
  return out;
}

}  // namespace masseter
