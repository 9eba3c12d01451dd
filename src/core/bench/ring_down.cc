#include "core/bench/ring_down.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/metrology/student_t.h"
#include "core/signal/robust.h"

namespace masseter {
namespace {

constexpr std::size_t kLeastSamples = 12;
constexpr double kLeastCycles = 2.0;
constexpr double kLongestS = 0.5;
constexpr double kTwoPi = 2.0 * std::numbers::pi;

// Time in units of the stretch's length, so that every parameter is near 1.
struct Shape {
  double decay = 0.0;  // s times the length
  double omega = 0.0;  // w times the length
};

struct Linear {
  Eigen::Vector4d abcd = Eigen::Vector4d::Zero();
  double squares = 0.0;
};

Eigen::MatrixXd Basis(const Shape& shape, Eigen::Index n) {
  Eigen::MatrixXd out(n, 4);
  for (Eigen::Index i = 0; i < n; ++i) {
    const double t = static_cast<double>(i) / static_cast<double>(n - 1);
    const double e = std::exp(-shape.decay * t);
    out.row(i) << e * std::cos(shape.omega * t), e * std::sin(shape.omega * t),
        1.0, t;
  }
  return out;
}

Linear SolveLinear(const Shape& shape, const Eigen::VectorXd& x) {
  const Eigen::MatrixXd basis = Basis(shape, x.size());
  Linear out;
  out.abcd = basis.colPivHouseholderQr().solve(x);
  out.squares = (x - basis * out.abcd).squaredNorm();
  return out;
}

// The best of a scan: frequency in steps of a quarter of a cycle over the
// stretch, decay from hardly any to gone within a tenth of it.
Shape Scan(const Eigen::VectorXd& x) {
  const double most = std::numbers::pi * static_cast<double>(x.size() - 1);
  Shape best;
  double least = -1.0;
  for (const double decay : {0.5, 2.0, 5.0, 10.0}) {
    for (double omega = 0.75 * kTwoPi; omega < most; omega += 0.25 * kTwoPi) {
      const Shape shape{decay, omega};
      const double squares = SolveLinear(shape, x).squares;
      if (least >= 0.0 && squares >= least) continue;
      least = squares;
      best = shape;
    }
  }
  return best;
}

// Derivatives of (1) by decay, omega, a, b, c, d.
Eigen::MatrixXd Jacobian(const Shape& shape, const Eigen::Vector4d& k,
                         Eigen::Index n) {
  Eigen::MatrixXd out(n, 6);
  const Eigen::MatrixXd basis = Basis(shape, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const double t = static_cast<double>(i) / static_cast<double>(n - 1);
    const double in_phase = basis(i, 0);
    const double across = basis(i, 1);
    out(i, 0) = -t * (k(0) * in_phase + k(1) * across);
    out(i, 1) = t * (k(1) * in_phase - k(0) * across);
  }
  out.rightCols<4>() = basis;
  return out;
}

// Gauss-Newton with Marquardt's damping, in decay and omega; a to d follow
// exactly.
Shape Refine(Shape shape, const Eigen::VectorXd& x) {
  Linear now = SolveLinear(shape, x);
  double lambda = 1e-3;
  for (int round = 0; round < 100; ++round) {
    const Eigen::MatrixXd j = Jacobian(shape, now.abcd, x.size());
    const Eigen::VectorXd rest = x - j.rightCols<4>() * now.abcd;
    Eigen::MatrixXd normal = j.transpose() * j;
    normal.diagonal() *= 1.0 + lambda;
    const Eigen::VectorXd step = normal.ldlt().solve(j.transpose() * rest);
    const Shape next{shape.decay + step(0), shape.omega + step(1)};
    const Linear there = SolveLinear(next, x);
    if (!(there.squares < now.squares)) {
      lambda *= 10.0;
      if (lambda > 1e9) break;
      continue;
    }
    const bool done = now.squares - there.squares <= 1e-14 * now.squares;
    shape = next;
    now = there;
    lambda = std::max(1e-12, 0.1 * lambda);
    if (done) break;
  }
  return shape;
}

// Equation (2) with the covariance of decay and omega.
SecondOrder SystemOf(const Shape& shape, const Eigen::Matrix2d& covariance,
                     double length_s) {
  const double s = shape.decay / length_s;
  const double w = shape.omega / length_s;
  const double wn = std::hypot(s, w);
  SecondOrder out;
  out.natural_hz = wn / kTwoPi;
  out.damping = s / wn;
  const Eigen::Vector2d by_frequency(s / (wn * kTwoPi), w / (wn * kTwoPi));
  const Eigen::Vector2d by_damping(w * w / (wn * wn * wn),
                                   -s * w / (wn * wn * wn));
  const Eigen::Matrix2d c = covariance / (length_s * length_s);
  out.natural_u_hz =
      std::sqrt(std::max(0.0, by_frequency.dot(c * by_frequency)));
  out.damping_u = std::sqrt(std::max(0.0, by_damping.dot(c * by_damping)));
  return out;
}

}  // namespace

Expected<RingDown> FitRingDown(std::span<const double> samples,
                               double rate_hz) {
  if (samples.size() < kLeastSamples) {
    return BadInput("", "rings too briefly for this sampling rate");
  }
  const auto n = static_cast<Eigen::Index>(samples.size());
  const Eigen::VectorXd x =
      Eigen::Map<const Eigen::VectorXd>(samples.data(), n);
  const double length_s = static_cast<double>(n - 1) / rate_hz;
  const Shape shape = Refine(Scan(x), x);
  const Linear fit = SolveLinear(shape, x);
  RingDown out;
  out.length_s = length_s;
  out.amplitude = std::hypot(fit.abcd(0), fit.abcd(1));
  out.cycles = std::abs(shape.omega) / kTwoPi;
  const double variance = fit.squares / static_cast<double>(n - 6);
  out.residual_sd = std::sqrt(variance);
  if (out.amplitude < 3.0 * out.residual_sd || !(shape.decay > 0.0)) {
    return BadInput("", "no ring stands out after the tap");
  }
  if (out.cycles < kLeastCycles) {
    return BadInput("", "rings for less than two cycles");
  }
  const Eigen::MatrixXd j = Jacobian(shape, fit.abcd, n);
  const Eigen::MatrixXd inverse =
      (j.transpose() * j).ldlt().solve(Eigen::MatrixXd::Identity(6, 6));
  const Eigen::Matrix2d covariance = variance * inverse.topLeftCorner<2, 2>();
  out.system = SystemOf(shape, covariance, length_s);
  return out;
}

namespace {

struct Quiet {
  double level = 0.0;
  double noise = 0.0;
};

// Level and noise of the whole record: taps are short, so its median and the
// median of its steps belong to the quiet.
Quiet QuietOf(std::span<const double> x) {
  std::vector<double> steps;
  steps.reserve(x.size());
  for (std::size_t i = 1; i < x.size(); ++i) steps.push_back(x[i] - x[i - 1]);
  return {Median(x), MadSd(steps) / std::numbers::sqrt2};
}

// Where the ring has sunk to four times the noise for a twentieth of a second
// or 16 samples, whichever is longer.
std::size_t EndOfRing(std::span<const double> x, std::size_t from,
                      std::size_t most, const Quiet& quiet, double rate_hz) {
  const auto hold = std::max<std::size_t>(
      16, static_cast<std::size_t>(std::lround(0.05 * rate_hz)));
  std::size_t last_high = from;
  for (std::size_t i = from; i < most; ++i) {
    if (std::abs(x[i] - quiet.level) > 4.0 * quiet.noise) last_high = i;
    if (i - last_high > hold) break;
  }
  return std::min(most, last_high + 2);
}

}  // namespace

std::vector<Stretch> FindTaps(std::span<const double> x, double rate_hz) {
  std::vector<Stretch> out;
  if (x.size() < 2 * kLeastSamples) return out;
  const Quiet quiet = QuietOf(x);
  const double limit = 12.0 * std::max(quiet.noise, 1e-9);
  const auto reach =
      static_cast<std::size_t>(std::lround(kLongestS * rate_hz)) + 1;
  for (std::size_t i = 0; i < x.size(); ++i) {
    if (std::abs(x[i] - quiet.level) <= limit) continue;
    // The blow: the highest deflection of the next twentieth of a second.
    const std::size_t near =
        std::min(x.size(), i + 2 + static_cast<std::size_t>(0.05 * rate_hz));
    std::size_t top = i;
    for (std::size_t k = i; k < near; ++k) {
      if (std::abs(x[k] - quiet.level) > std::abs(x[top] - quiet.level)) {
        top = k;
      }
    }
    std::size_t first = top + 1;
    const bool up = x[top] > quiet.level;
    while (first < x.size() && (x[first] > quiet.level) == up) ++first;
    const std::size_t end =
        EndOfRing(x, first, std::min(x.size(), first + reach), quiet, rate_hz);
    out.push_back({std::min(first, end), end});
    // Quiet must come back before the next tap counts as one.
    i = std::max(end, top + 1) + static_cast<std::size_t>(0.05 * rate_hz);
  }
  return out;
}

bool Folded(double natural_hz, double rate_hz) {
  return natural_hz > 0.4 * rate_hz;
}

namespace {

struct MeanOfTaps {
  double mean = 0.0;
  double u = 0.0;
};

template <class Value, class Own>
MeanOfTaps Combine(const std::vector<RingDown>& taps, Value value, Own own) {
  const auto n = static_cast<double>(taps.size());
  MeanOfTaps out;
  double own_squares = 0.0;
  for (const RingDown& tap : taps) {
    out.mean += value(tap) / n;
    own_squares += own(tap) * own(tap);
  }
  const double from_fits = std::sqrt(own_squares) / n;
  double squares = 0.0;
  for (const RingDown& tap : taps) {
    squares += (value(tap) - out.mean) * (value(tap) - out.mean);
  }
  double from_scatter = 0.0;
  if (taps.size() > 1) {
    from_scatter = std::sqrt(squares / (n - 1.0) / n) *
                   CoverageFactor(0.95, n - 1.0) / NormalQuantile(0.975);
  }
  out.u = std::max(from_fits, from_scatter);
  return out;
}

}  // namespace

Expected<TapTest> MeasureTaps(std::span<const double> x, double rate_hz,
                              double start_s) {
  const auto stretches = FindTaps(x, rate_hz);
  if (stretches.empty()) {
    return BadInput("",
                    "no tap stands out; tap the sleeve a few times, "
                    "a second apart, with the sleeve at rest between");
  }
  TapTest out;
  std::string why;
  for (const Stretch& s : stretches) {
    auto ring = FitRingDown(x.subspan(s.first, s.last - s.first), rate_hz);
    if (!ring) {
      ++out.not_used;
      why = ring.error().what;
      continue;
    }
    ring->at_s = start_s + static_cast<double>(s.first) / rate_hz;
    out.taps.push_back(*ring);
  }
  if (out.taps.empty()) {
    return BadInput("", std::to_string(out.not_used) +
                            " taps, and none tells the ring: " + why);
  }
  const auto hz = Combine(
      out.taps, [](const RingDown& r) { return r.system.natural_hz; },
      [](const RingDown& r) { return r.system.natural_u_hz; });
  const auto zeta = Combine(
      out.taps, [](const RingDown& r) { return r.system.damping; },
      [](const RingDown& r) { return r.system.damping_u; });
  out.system = {hz.mean, zeta.mean, hz.u, zeta.u};
  if (out.taps.size() < 3) {
    out.warnings.push_back("only " + std::to_string(out.taps.size()) +
                           (out.taps.size() == 1 ? " tap" : " taps") +
                           " could be used; tap five times or more, at "
                           "different places");
  }
  if (Folded(hz.mean, rate_hz)) {
    out.warnings.push_back(
        "the ring lies close to half the sampling rate and may be the image "
        "of a higher one; sample faster for a tap test");
  }
  return out;
}

}  // namespace masseter
