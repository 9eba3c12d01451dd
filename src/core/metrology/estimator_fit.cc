#include "core/metrology/estimator_fit.h"

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

namespace masseter {
namespace {

constexpr double kGainRidgeShare = 0.01;
constexpr double kSmallestRidge = 1e-8;
constexpr double kFirstRidge = 1e-3;

double LargestForce(const BenchSet& bench) {
  double largest = 0.0;
  for (const BenchLoad& load : bench.loads) {
    largest = std::max(largest, load.force_n);
  }
  return largest;
}

double Weight(double force, double largest) {
  const double f0 = largest / 20.0;
  return 1.0 / (force * force + f0 * f0);
}

struct RidgeSolution {
  Eigen::VectorXd coeffs;
  Eigen::MatrixXd unit_covariance;
};

// Minimises sum w (F - X b)^2 + n ridge sum_k share_k (b_k - prior_k)^2 by QR
// of the stacked system. Terms are in newtons, so the b are plain numbers near
// 1 (gains) or 0 (shape).
RidgeSolution SolveRidge(const Eigen::MatrixXd& terms,
                         const Eigen::VectorXd& force,
                         const Eigen::VectorXd& weight, std::size_t gains,
                         double ridge) {
  const Eigen::Index n = terms.rows();
  const Eigen::Index k = terms.cols();
  const Eigen::VectorXd root = weight.cwiseSqrt();
  Eigen::MatrixXd a(n + k, k);
  Eigen::VectorXd b = Eigen::VectorXd::Zero(n + k);
  a.topRows(n) = root.asDiagonal() * terms;
  b.head(n) = root.cwiseProduct(force);
  a.bottomRows(k).setZero();
  for (Eigen::Index c = 0; c < k; ++c) {
    const bool gain = c < static_cast<Eigen::Index>(gains);
    const double pull = std::sqrt(static_cast<double>(n) * ridge *
                                  (gain ? kGainRidgeShare : 1.0));
    a(n + c, c) = pull;
    b(n + c) = gain ? pull : 0.0;
  }
  const Eigen::HouseholderQR<Eigen::MatrixXd> qr(a);
  RidgeSolution out;
  out.coeffs = qr.solve(b);
  const Eigen::MatrixXd r = qr.matrixQR().topRows(k);
  const Eigen::MatrixXd inverse =
      r.triangularView<Eigen::Upper>().solve(Eigen::MatrixXd::Identity(k, k));
  out.unit_covariance = inverse * inverse.transpose();
  return out;
}

// Channel gains alone, shrunk a little to their common value. What the shell
// takes is not in this model, so residuals are per cents, and a weaker ridge
// lets them turn the noise of the direction that no load moves (the twist of a
// rigid plate) into gains, which would shift the centre of force.
Expected<std::vector<double>> FirstGains(const BenchSet& bench) {
  const auto n = static_cast<Eigen::Index>(bench.loads.size());
  const auto m = static_cast<Eigen::Index>(bench.loads.front().v.size());
  const double largest = LargestForce(bench);
  Eigen::MatrixXd signal(n, m);
  Eigen::VectorXd force(n);
  Eigen::VectorXd weight(n);
  Eigen::VectorXd sign(m);
  for (Eigen::Index r = 0; r < n; ++r) {
    const BenchLoad& load = bench.loads[static_cast<std::size_t>(r)];
    force(r) = load.force_n;
    weight(r) = Weight(load.force_n, largest);
    for (Eigen::Index c = 0; c < m; ++c) {
      signal(r, c) = load.v[static_cast<std::size_t>(c)];
    }
  }
  // A cell that is wired the other way round counts down under load.
  for (Eigen::Index c = 0; c < m; ++c) {
    sign(c) = signal.col(c).cwiseProduct(weight).dot(force) < 0.0 ? -1.0 : 1.0;
  }
  const Eigen::VectorXd sum = signal * sign;
  const double common =
      weight.cwiseProduct(sum).dot(force) / weight.cwiseProduct(sum).dot(sum);
  if (!std::isfinite(common) || common == 0.0) {
    return BadInput("",
                    "no channel moves under load; is the sleeve plugged in?");
  }
  const Eigen::VectorXd prior = common * sign;
  const RidgeSolution fit =
      SolveRidge(signal * prior.asDiagonal(), force, weight,
                 static_cast<std::size_t>(m), kFirstRidge);
  std::vector<double> gain(static_cast<std::size_t>(m));
  for (Eigen::Index c = 0; c < m; ++c) {
    const double g = prior(c) * fit.coeffs(c);
    gain[static_cast<std::size_t>(c)] = g;
  }
  return gain;
}

// One member of the family with the loads' terms laid out.
struct Candidate {
  Estimator shape;  // coefficients still empty
  Eigen::MatrixXd terms;
  std::size_t gains = 0;
};

Candidate MakeCandidate(const BenchSet& bench, const Estimator& base,
                        EstimatorForm form, bool curvature) {
  Candidate out{base, {}, 0};
  out.shape.form = form;
  out.shape.curvature = curvature;
  if (form == EstimatorForm::kSum) {
    // One factor for all channels: every gain the same, whatever its sign.
    double mean = 0.0;
    for (const double g : base.gain) mean += std::abs(g);
    mean /= static_cast<double>(base.gain.size());
    for (double& g : out.shape.gain) g = std::copysign(mean, g);
  }
  const bool one_gain =
      form == EstimatorForm::kSum || form == EstimatorForm::kSurface;
  out.gains = one_gain ? 1 : base.gain.size();
  const std::size_t k = out.shape.TermCount();
  out.terms.resize(static_cast<Eigen::Index>(bench.loads.size()),
                   static_cast<Eigen::Index>(k));
  std::vector<double> row(k);
  for (std::size_t r = 0; r < bench.loads.size(); ++r) {
    out.shape.Terms(bench.loads[r].v, row);
    for (std::size_t c = 0; c < k; ++c) {
      out.terms(static_cast<Eigen::Index>(r), static_cast<Eigen::Index>(c)) =
          row[c];
    }
  }
  return out;
}

std::vector<Candidate> Family(const BenchSet& bench, const Estimator& base) {
  std::vector<Candidate> family;
  const std::size_t m = base.channels();
  for (const bool curvature : {false, true}) {
    family.push_back(
        MakeCandidate(bench, base, EstimatorForm::kSum, curvature));
    if (m < 2) continue;
    family.push_back(
        MakeCandidate(bench, base, EstimatorForm::kGains, curvature));
    if (base.cells.size() == m && m >= 3) {
      family.push_back(
          MakeCandidate(bench, base, EstimatorForm::kSurface, curvature));
      family.push_back(
          MakeCandidate(bench, base, EstimatorForm::kCentre, curvature));
    }
    family.push_back(
        MakeCandidate(bench, base, EstimatorForm::kPairs, curvature));
    if (base.cells.size() == m && m >= 3) {
      family.push_back(
          MakeCandidate(bench, base, EstimatorForm::kQuartic, curvature));
    }
  }
  std::stable_sort(family.begin(), family.end(),
                   [](const Candidate& a, const Candidate& b) {
                     return a.terms.cols() < b.terms.cols();
                   });
  return family;
}

struct Targets {
  Eigen::VectorXd force;
  Eigen::VectorXd weight;
  std::vector<int> position;
  double largest = 0.0;
  int positions = 0;
};

Targets MakeTargets(const BenchSet& bench) {
  Targets out;
  const auto n = static_cast<Eigen::Index>(bench.loads.size());
  out.largest = LargestForce(bench);
  out.positions = static_cast<int>(bench.positions.size());
  out.force.resize(n);
  out.weight.resize(n);
  for (Eigen::Index r = 0; r < n; ++r) {
    const BenchLoad& load = bench.loads[static_cast<std::size_t>(r)];
    out.force(r) = load.force_n;
    out.weight(r) = Weight(load.force_n, out.largest);
    out.position.push_back(load.position);
  }
  return out;
}

struct LeftOut {
  double square = 0.0;  // mean square relative error
  double mean = 0.0;
};

// The errors at `left` when it takes no part in the fit.
LeftOut LeaveOut(const Candidate& candidate, const Targets& targets, int left,
                 double ridge) {
  std::vector<Eigen::Index> in;
  std::vector<Eigen::Index> out;
  for (Eigen::Index r = 0; r < targets.force.size(); ++r) {
    const bool here = targets.position[static_cast<std::size_t>(r)] == left;
    if (!here) in.push_back(r);
    if (here && targets.force(r) >= targets.largest / 20.0) out.push_back(r);
  }
  if (in.empty() || out.empty()) return {};
  const RidgeSolution fit =
      SolveRidge(candidate.terms(in, Eigen::all), targets.force(in),
                 targets.weight(in), candidate.gains, ridge);
  LeftOut sum;
  for (const Eigen::Index r : out) {
    const double e =
        candidate.terms.row(r).dot(fit.coeffs) / targets.force(r) - 1.0;
    sum.square += e * e;
    sum.mean += e;
  }
  const auto n = static_cast<double>(out.size());
  return {sum.square / n, sum.mean / n};
}

struct Score {
  std::size_t candidate = 0;
  double ridge = 0.0;
  Eigen::VectorXd square;  // a position
  Eigen::VectorXd mean;
};

Score BestRidge(const Candidate& candidate, std::size_t index,
                const Targets& targets) {
  Score best;
  double least = std::numeric_limits<double>::infinity();
  for (const double ridge : {1e-2, 1e-3, 1e-4, 1e-5, 1e-6, kSmallestRidge}) {
    Eigen::VectorXd square(targets.positions);
    Eigen::VectorXd mean(targets.positions);
    for (int p = 0; p < targets.positions; ++p) {
      const LeftOut left = LeaveOut(candidate, targets, p, ridge);
      square(p) = left.square;
      mean(p) = left.mean;
    }
    // A weaker ridge must earn its freedom.
    if (square.mean() < 0.98 * least) {
      least = square.mean();
      best = {index, ridge, square, mean};
    }
  }
  return best;
}

// The simplest candidate that the best does not beat by more than one
// standard error of the paired difference over positions.
Score Choose(const std::vector<Candidate>& family, const Targets& targets) {
  std::vector<Score> scores;
  for (std::size_t i = 0; i < family.size(); ++i) {
    scores.push_back(BestRidge(family[i], i, targets));
  }
  const Score& best = *std::min_element(
      scores.begin(), scores.end(), [](const Score& a, const Score& b) {
        return a.square.mean() < b.square.mean();
      });
  for (const Score& score : scores) {
    const Eigen::VectorXd d = score.square - best.square;
    const double mean = d.mean();
    const double n = static_cast<double>(d.size());
    const double se =
        std::sqrt((d.array() - mean).square().sum() / (n * (n - 1.0)));
    if (mean <= se) return score;
  }
  return best;
}

LeftOutError Summarise(const Score& score) {
  const Eigen::VectorXd& square = score.square;
  LeftOutError out;
  out.mean.assign(score.mean.begin(), score.mean.end());
  for (const double s : square) out.position.push_back(std::sqrt(s));
  out.rms = std::sqrt(square.mean());
  out.max = std::sqrt(square.maxCoeff());
  return out;
}

Estimator BaseEstimator(const BenchSet& bench, std::vector<double> gain) {
  Estimator base;
  base.gain = std::move(gain);
  base.cells = bench.cells;
  base.force_scale_n = LargestForce(bench);
  base.floor_n = 0.02 * base.force_scale_n;
  base.spread_mm = 0.0;
  for (const Place& cell : bench.cells) {
    base.spread_mm =
        std::max({base.spread_mm, std::abs(cell.x_mm), std::abs(cell.y_mm)});
  }
  if (base.spread_mm <= 0.0) base.spread_mm = 1.0;
  return base;
}

}  // namespace

Expected<EstimatorFit> FitEstimator(const BenchSet& bench) {
  if (bench.loads.empty()) {
    return BadInput("", "there is no load above zero to calibrate with");
  }
  auto gain = FirstGains(bench);
  if (!gain) return tl::unexpected(gain.error());
  const Estimator base = BaseEstimator(bench, std::move(*gain));
  const Targets targets = MakeTargets(bench);
  EstimatorFit out;
  Candidate chosen;
  if (targets.positions >= 3) {
    const std::vector<Candidate> family = Family(bench, base);
    const Score score = Choose(family, targets);
    chosen = family[score.candidate];
    out.shrinkage = score.ridge;
    out.left_out = Summarise(score);
  } else {
    chosen = MakeCandidate(bench, base, EstimatorForm::kSum, false);
    out.shrinkage = kSmallestRidge;
  }
  const RidgeSolution fit = SolveRidge(
      chosen.terms, targets.force, targets.weight, chosen.gains, out.shrinkage);
  out.estimator = chosen.shape;
  out.estimator.coeffs.assign(fit.coeffs.data(),
                              fit.coeffs.data() + fit.coeffs.size());
  const Eigen::VectorXd residual = targets.force - chosen.terms * fit.coeffs;
  const double n = static_cast<double>(bench.loads.size());
  const double k = static_cast<double>(fit.coeffs.size());
  const double variance =
      residual.cwiseAbs2().dot(targets.weight) / std::max(n - k, 1.0);
  out.relative_sd = std::sqrt(variance);
  out.covariance = variance * fit.unit_covariance;
  return out;
}

}  // namespace masseter
