#include "core/trust/propagate.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "core/base/random_draws.h"

namespace masseter {
namespace {

constexpr std::size_t kBlock = 10000;  // 7.9.4 b)
constexpr std::size_t kChunk = 1000;   // draws that stay in the cache

// Normal terms add up to one normal term exactly: fewer draws, same law.
std::vector<DrawnTerm> Gathered(std::span<const DrawnTerm> terms) {
  std::vector<DrawnTerm> out{{TermShape::kNormal, 0.0, 0.0}};
  for (const DrawnTerm& term : terms) {
    if (term.u == 0.0 || std::isnan(term.u)) continue;
    if (term.shape == TermShape::kNormal) {
      out.front().u = std::hypot(out.front().u, term.u);
    } else {
      out.push_back(term);
    }
  }
  return out;
}

template <class Draw>
void AddEach(std::span<double> y, Draw draw) {
  for (double& value : y) value += draw();
}

void AddTerm(const DrawnTerm& term, RandomStream& random, std::span<double> y) {
  const double u = term.u;
  switch (term.shape) {
    case TermShape::kNormal:
      if (u != 0.0) AddEach(y, [&] { return u * random.Normal(); });
      return;
    case TermShape::kStudentT:
      AddEach(y, [&] {
        const double z = random.Normal();
        return u * z / std::sqrt(random.ChiSquared(term.dof) / term.dof);
      });
      return;
    case TermShape::kRectangular: {
      const double width = 2.0 * std::numbers::sqrt3 * u;
      AddEach(y, [&] { return width * (random.Uniform() - 0.5); });
      return;
    }
    case TermShape::kTriangular: {
      const double half = std::sqrt(6.0) * u;
      AddEach(y, [&] {
        const double first = random.Uniform();
        return half * (first + random.Uniform() - 1.0);
      });
      return;
    }
    case TermShape::kArcsine: {
      const double half = std::numbers::sqrt2 * u;
      AddEach(y, [&] {
        return half * std::sin(2.0 * std::numbers::pi * random.Uniform());
      });
      return;
    }
    case TermShape::kOneSided: {
      const double width = std::numbers::sqrt3 * u;
      AddEach(y, [&] { return width * random.Uniform(); });
      return;
    }
  }
}

void DrawBlock(std::span<const DrawnTerm> terms, RandomStream& random,
               std::span<double> y) {
  for (std::size_t at = 0; at < y.size(); at += kChunk) {
    const auto chunk = y.subspan(at, std::min(kChunk, y.size() - at));
    std::fill(chunk.begin(), chunk.end(), 0.0);
    for (const DrawnTerm& term : terms) AddTerm(term, random, chunk);
  }
}

// Mean and standard deviation of a growing number of values, Welford's way.
class Running {
 public:
  void Add(double x) {
    n_ += 1.0;
    const double off = x - mean_;
    mean_ += off / n_;
    squares_ += off * (x - mean_);
  }
  double mean() const { return mean_; }
  double sd() const { return std::sqrt(squares_ / (n_ - 1.0)); }
  // Twice the standard deviation of the mean.
  double scatter() const { return 2.0 * sd() / std::sqrt(n_); }

 private:
  double n_ = 0.0;
  double mean_ = 0.0;
  double squares_ = 0.0;
};

// What 7.9.4 keeps of every block.
struct Blocks {
  Running all;  // every draw
  Running mean;
  Running u;
  Running low;
  Running high;

  void Add(std::span<double> y, const PropagationOptions& options) {
    Running block;
    for (const double value : y) {
      all.Add(value);
      block.Add(value);
    }
    mean.Add(block.mean());
    u.Add(block.sd());
    const CoverageEnds ends = CoverageOf(y, options.coverage, options.interval);
    low.Add(ends.low);
    high.Add(ends.high);
  }
  double Scatter() const {
    return std::max(
        {mean.scatter(), u.scatter(), low.scatter(), high.scatter()});
  }
};

std::size_t BlockSize(double coverage) {
  // J of 7.9.4 b): 100 / (1 - p), next higher.
  const double least = std::ceil(100.0 / (1.0 - coverage));
  return std::max(kBlock, static_cast<std::size_t>(least));
}

CoverageEnds Shortest(std::span<double> y, std::size_t inside) {
  const std::size_t outside = y.size() - inside;
  const auto at = [&](std::size_t i) {
    return y.begin() + static_cast<std::ptrdiff_t>(i);
  };
  if (inside > outside + 1) {
    std::nth_element(y.begin(), at(outside), y.end());
    std::sort(y.begin(), at(outside));
    std::nth_element(at(outside), at(inside), y.end());
    std::sort(at(inside), y.end());
  } else {
    std::sort(y.begin(), y.end());
  }
  CoverageEnds best{y.front(), y[inside]};
  for (std::size_t r = 1; r < outside; ++r) {
    if (y[r + inside] - y[r] < best.high - best.low) {
      best = {y[r], y[r + inside]};
    }
  }
  return best;
}

}  // namespace

TermShape ShapeOf(std::string_view word) {
  if (word == "t") return TermShape::kStudentT;
  if (word == "rectangular") return TermShape::kRectangular;
  if (word == "triangular") return TermShape::kTriangular;
  if (word == "arcsine") return TermShape::kArcsine;
  if (word == "one-sided") return TermShape::kOneSided;
  return TermShape::kNormal;
}

std::vector<DrawnTerm> TermsOf(std::span<const BudgetLine> lines) {
  std::vector<DrawnTerm> out;
  for (const BudgetLine& line : lines) {
    DrawnTerm term{ShapeOf(line.distribution), line.standard_uncertainty_n,
                   line.degrees_of_freedom};
    const bool finite = std::isfinite(term.dof) && term.dof > 0.0;
    if (term.shape == TermShape::kNormal && finite) {
      term.shape = TermShape::kStudentT;
    } else if (term.shape == TermShape::kStudentT && !finite) {
      term.shape = TermShape::kNormal;
    }
    out.push_back(term);
  }
  return out;
}

double NumericalTolerance(double u, int digits) {
  if (!(u > 0.0) || !std::isfinite(u)) return 0.0;
  const double shift = static_cast<double>(digits) - 1.0;
  double place = std::floor(std::log10(u)) - shift;
  // 9.96 with two digits is 10, one place further up.
  if (std::round(u / std::pow(10.0, place)) >= std::pow(10.0, shift + 1.0)) {
    place += 1.0;
  }
  return 0.5 * std::pow(10.0, place);
}

CoverageEnds CoverageOf(std::span<double> y, double coverage,
                        IntervalKind kind) {
  if (y.empty()) return {};
  const double count = static_cast<double>(y.size());
  // q of 7.7.1: p M, or the integer part of p M + 1/2.
  const auto inside =
      std::min(y.size() - 1,
               static_cast<std::size_t>(std::floor(coverage * count + 0.5)));
  if (kind == IntervalKind::kShortest) return Shortest(y, inside);
  // r = (M - q) / 2, or the integer part of (M - q + 1) / 2; y[r - 1] is the
  // r-th smallest.
  const std::size_t r = std::max<std::size_t>(1, (y.size() - inside + 1) / 2);
  const std::size_t low = r - 1;
  const std::size_t high = std::min(y.size() - 1, low + inside);
  const auto at = [&](std::size_t i) {
    return y.begin() + static_cast<std::ptrdiff_t>(i);
  };
  std::nth_element(y.begin(), at(low), y.end());
  if (high > low) std::nth_element(at(low + 1), at(high), y.end());
  return {y[low], y[high]};
}

Propagation Propagate(std::span<const DrawnTerm> given,
                      const PropagationOptions& options) {
  const std::vector<DrawnTerm> terms = Gathered(given);
  const std::size_t block = BlockSize(options.coverage);
  const std::size_t most = std::max<std::size_t>(2, options.most_draws / block);
  RandomStream random(options.seed);
  std::vector<double> y;
  y.reserve(most * block);
  Blocks blocks;
  Propagation out;
  std::size_t next_step = 2;
  for (std::size_t h = 1; h <= most && !out.settled; ++h) {
    y.resize(h * block);
    const auto newest = std::span(y).last(block);
    DrawBlock(terms, random, newest);
    blocks.Add(newest, options);
    if (h < 2) continue;
    out.tolerance = NumericalTolerance(blocks.all.sd(), options.digits);
    out.settled = blocks.Scatter() <= out.tolerance;
    if (h == next_step || out.settled || h == most) {
      out.steps.push_back(
          {h * block, blocks.low.mean(), blocks.high.mean(), blocks.Scatter()});
      next_step *= 2;
    }
  }
  out.draws = y.size();
  out.mean = blocks.all.mean();
  out.u = blocks.all.sd();
  const CoverageEnds ends = CoverageOf(y, options.coverage, options.interval);
  out.low = ends.low;
  out.high = ends.high;
  return out;
}

}  // namespace masseter
