#include "core/trust/propagate.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "core/base/random_draws.h"
#include "core/metrology/student_t.h"

namespace masseter {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

Propagation Million(std::vector<DrawnTerm> terms,
                    IntervalKind kind = IntervalKind::kSymmetric) {
  PropagationOptions options;
  options.digits = 9;  // never settles: all draws are drawn
  options.interval = kind;
  return Propagate(terms, options);
}

TEST(RandomStream, GivesTheReferenceOutputs) {
  // xoshiro256++ from the state 1, 2, 3, 4: the authors' C code run by hand
  // in the test of the Rust crate rand_xoshiro; from memory, and the first
  // follows from rotl(1 + 4, 23) + 1.
  RandomStream stream(Xoshiro({1, 2, 3, 4}));
  for (const std::uint64_t expected :
       {41943041ULL, 58720359ULL, 3588806011781223ULL, 3591011842654386ULL,
        9228616714210784205ULL, 9973669472204895162ULL}) {
    EXPECT_EQ(stream.Next(), expected);
  }
}

TEST(RandomStream, DrawsChiSquaredWithItsMeanAndVariance) {
  for (const double dof : {0.7, 3.0, 12.0}) {
    RandomStream stream(5);
    double sum = 0.0;
    double squares = 0.0;
    const double n = 200000.0;
    for (int i = 0; i < 200000; ++i) {
      const double x = stream.ChiSquared(dof);
      sum += x;
      squares += x * x;
    }
    const double mean = sum / n;
    // Mean dof, variance 2 dof; five standard errors of the mean, and of the
    // variance at the largest kurtosis here.
    EXPECT_NEAR(mean, dof, 5.0 * std::sqrt(2.0 * dof / n));
    EXPECT_NEAR(squares / n - mean * mean, 2.0 * dof, 0.05 * 2.0 * dof);
  }
}

// JCGM 101:2008, 9.2: expected values exact (closed form, Irwin-Hall and
// inclusion-exclusion); tolerances four standard errors of an end at 10^6
// draws, sqrt(p (1 - p) / M) / density.
TEST(Propagate, FourNormalsOfJcgm101Clause922) {
  const auto p = Million(std::vector<DrawnTerm>(4, {TermShape::kNormal, 1, 0}));
  EXPECT_EQ(p.draws, 1000000U);
  EXPECT_NEAR(p.mean, 0.0, 0.008);
  EXPECT_NEAR(p.u, 2.0, 0.006);
  EXPECT_NEAR(p.low, -3.919928, 0.022);
  EXPECT_NEAR(p.high, 3.919928, 0.022);
}

TEST(Propagate, FourRectangularsOfClause923HaveShorterTails) {
  const std::vector<DrawnTerm> four(4, {TermShape::kRectangular, 1.0, 0.0});
  const auto symmetric = Million(four);
  EXPECT_NEAR(symmetric.u, 2.0, 0.006);
  EXPECT_NEAR(symmetric.low, -3.879407, 0.02);
  EXPECT_NEAR(symmetric.high, 3.879407, 0.02);
  // The shortest interval's ends wander, its length does not.
  const auto shortest = Million(four, IntervalKind::kShortest);
  EXPECT_NEAR(shortest.high - shortest.low, 2.0 * 3.879407, 0.03);
  EXPECT_LE(shortest.high - shortest.low, symmetric.high - symmetric.low);
}

TEST(Propagate, ADominantRectangularOfClause924IsFarFromNormal) {
  const auto p = Million({{TermShape::kRectangular, 1.0, 0.0},
                          {TermShape::kRectangular, 1.0, 0.0},
                          {TermShape::kRectangular, 1.0, 0.0},
                          {TermShape::kRectangular, 10.0, 0.0}});
  EXPECT_NEAR(p.u, 10.148892, 0.02);
  EXPECT_NEAR(p.low, -17.015814, 0.05);
  EXPECT_NEAR(p.high, 17.015814, 0.05);
}

// Both hold: many degrees of freedom. Welch-Satterthwaite gives 2.0341; the
// convolution of the three densities in R 4.2.2 (dt, convolve, step 0.005)
// 2.0500. JCGM 101's numerical tolerance for u = 1.0 of two digits is 0.05.
TEST(Propagate, AgreesWithTheLawOfPropagationWhereBothHold) {
  const std::vector<DrawnTerm> terms{{TermShape::kStudentT, 0.25, 50.0},
                                     {TermShape::kStudentT, 0.57, 60.0},
                                     {TermShape::kStudentT, 0.82, 80.0}};
  std::vector<UncertaintyTerm> lines;
  for (const DrawnTerm& t : terms) lines.push_back({t.u, t.dof});
  const CombinedUncertainty u = CombineUncertainties(lines);
  const double analytic = CoverageFactor(0.95, u.dof) * u.standard_uncertainty;
  const auto p = Million(terms);
  EXPECT_NEAR(p.high, analytic, NumericalTolerance(p.u, 2));
  EXPECT_NEAR(p.low, -analytic, NumericalTolerance(p.u, 2));
}

// GUM G.4.1's own example (0.25, 0.57, 0.82 %; 9, 4, 14 degrees of freedom):
// Welch-Satterthwaite says 2.155 %, but a t of 4 degrees of freedom has longer
// tails than that: 2.4165 by the same convolution in R. Four standard errors.
TEST(Propagate, SeesTheTailsThatWelchSatterthwaiteCannot) {
  const auto p = Million({{TermShape::kStudentT, 0.25, 9.0},
                          {TermShape::kStudentT, 0.57, 4.0},
                          {TermShape::kStudentT, 0.82, 14.0}});
  EXPECT_NEAR(p.high, 2.4165, 0.015);
  EXPECT_NEAR(p.low, -2.4165, 0.015);
}

TEST(Propagate, EveryShapeHasItsStandardDeviation) {
  for (const TermShape shape : {TermShape::kNormal, TermShape::kRectangular,
                                TermShape::kTriangular, TermShape::kArcsine}) {
    const auto p = Million({{shape, 3.0, 0.0}});
    EXPECT_NEAR(p.mean, 0.0, 0.012) << static_cast<int>(shape);
    EXPECT_NEAR(p.u, 3.0, 0.01) << static_cast<int>(shape);
  }
  // t: variance nu / (nu - 2); 97.5 % quantile of GUM table G.2.
  const auto t = Million({{TermShape::kStudentT, 1.0, 10.0}});
  EXPECT_NEAR(t.u, std::sqrt(10.0 / 8.0), 0.006);
  EXPECT_NEAR(t.high, 2.228, 0.015);
  // Arcsine: 95 % lie within a sin(0.95 pi / 2).
  const auto arc = Million({{TermShape::kArcsine, 1.0, 0.0}});
  EXPECT_NEAR(arc.high,
              std::numbers::sqrt2 * std::sin(0.475 * std::numbers::pi), 0.002);
}

TEST(Propagate, AOneSidedTermOnlyRaises) {
  const auto p = Million({{TermShape::kOneSided, 1.0, 0.0}});
  const double width = std::numbers::sqrt3;
  EXPECT_NEAR(p.low, 0.025 * width, 0.002);
  EXPECT_NEAR(p.high, 0.975 * width, 0.002);
  EXPECT_NEAR(p.mean * p.mean + p.u * p.u, 1.0, 0.005);
}

// Exact: P(X + U <= x) for X normal of sd s and U even on [0, w] is
// s / w (g(x / s) - g((x - w) / s)) with g(z) = z Phi(z) + phi(z).
TEST(Propagate, ALossWithNoiseHasItsExactInterval) {
  const auto g = [](double z) {
    return z * NormalCdf(z) +
           std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
  };
  const double w = 3.0 * std::numbers::sqrt3;
  const auto quantile = [&](double p) {
    double low = -10.0;
    double high = 20.0;
    for (int i = 0; i < 80; ++i) {
      const double x = 0.5 * (low + high);
      ((g(x) - g(x - w)) / w < p ? low : high) = x;
    }
    return low;
  };
  const auto p = Million(
      {{TermShape::kNormal, 1.0, 0.0}, {TermShape::kOneSided, 3.0, 0.0}});
  EXPECT_NEAR(p.low, quantile(0.025), 0.02);
  EXPECT_NEAR(p.high, quantile(0.975), 0.02);
}

TEST(Propagate, StopsWhenTheToleranceIsReachedAndSaysHow) {
  PropagationOptions options;
  options.digits = 1;
  const std::vector<DrawnTerm> terms{{TermShape::kNormal, 2.0, 0.0}};
  const Propagation p = Propagate(terms, options);
  EXPECT_TRUE(p.settled);
  EXPECT_EQ(p.tolerance, 0.5);  // 2 x 10^0
  EXPECT_LT(p.draws, 100000U);
  ASSERT_FALSE(p.steps.empty());
  EXPECT_EQ(p.steps.back().draws, p.draws);
  EXPECT_LE(p.steps.back().scatter, p.tolerance);
  // The ends lie within the tolerance of the truth.
  EXPECT_NEAR(p.high, 3.92, 0.5);
  const Propagation again = Propagate(terms, options);
  EXPECT_EQ(again.low, p.low);
  options.seed = 2;
  EXPECT_NE(Propagate(terms, options).low, p.low);
}

TEST(Propagate, NothingUncertainIsAPoint) {
  const Propagation p = Propagate({}, {});
  EXPECT_TRUE(p.settled);
  EXPECT_EQ(p.low, 0.0);
  EXPECT_EQ(p.high, 0.0);
}

TEST(NumericalTolerance, IsHalfAUnitInTheLastMeaningfulDigit) {
  // JCGM 101 7.9.2, examples 1 and 2: u = 0.000 35 g, two digits: 5e-6 g;
  // u = 2 K, one digit: 0.5 K.
  EXPECT_NEAR(NumericalTolerance(0.00035, 2), 5e-6, 1e-18);
  EXPECT_EQ(NumericalTolerance(2.0, 1), 0.5);
  EXPECT_NEAR(NumericalTolerance(9.96, 2), 0.5, 1e-15);
  EXPECT_EQ(NumericalTolerance(0.0, 2), 0.0);
}

TEST(CoverageOf, TakesTheRanksOfClause77) {
  std::vector<double> y(100);
  for (std::size_t i = 0; i < 100; ++i)
    y[i] = static_cast<double>((i * 37) % 100);
  // M = 100, q = 95, r = 3: the third smallest and the 98th.
  const auto ends = CoverageOf(y, 0.95, IntervalKind::kSymmetric);
  EXPECT_EQ(ends.low, 2.0);
  EXPECT_EQ(ends.high, 97.0);
  // Crowded at the low end: the shortest begins there.
  for (std::size_t i = 0; i < 100; ++i) {
    y[i] = std::pow(static_cast<double>((i * 37) % 100), 2.0);
  }
  const auto shortest = CoverageOf(y, 0.95, IntervalKind::kShortest);
  EXPECT_EQ(shortest.low, 0.0);
  EXPECT_EQ(shortest.high, 95.0 * 95.0);
}

TEST(TermsOf, ReadsABudget) {
  const std::vector<BudgetLine> lines{{"a", 1.0, kInfinity, "normal"},
                                      {"b", 2.0, 5.0, "normal"},
                                      {"c", 3.0, kInfinity, "one-sided"}};
  const auto terms = TermsOf(lines);
  EXPECT_EQ(terms[0].shape, TermShape::kNormal);
  EXPECT_EQ(terms[1].shape, TermShape::kStudentT);
  EXPECT_EQ(terms[1].dof, 5.0);
  EXPECT_EQ(terms[2].shape, TermShape::kOneSided);
}

}  // namespace
}  // namespace masseter
