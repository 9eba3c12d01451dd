// Lower bounds in the mixed model: R's survreg (survival 3.5-3, R 4.2.2) where
// there is one dog, the uncensored fit where there is no bound, and simulation
// where the truth is known.
#include "core/study/censored_model.h"

#include <numeric>

#include "core/base/random_draws.h"
#include "tests/reference/censored_study.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

void ExpectClose(double is, double want, double relative) {
  EXPECT_NEAR(is, want, relative * std::fabs(want)) << want;
}

MixedData OneDog(const std::vector<double>& y, const std::vector<char>& bound,
                 const std::vector<std::vector<double>>& columns) {
  MixedData d;
  d.y = y;
  d.at_least = bound;
  d.x = {std::vector<double>(y.size(), 1.0)};
  d.x.insert(d.x.end(), columns.begin(), columns.end());
  d.random = {{"dog", 1, std::vector<std::size_t>(y.size(), 0)}};
  return d;
}

// survreg(Surv(y, !bound) ~ x, dist = "gaussian"), a made-up table.
TEST(CensoredModel, IsCensoredRegressionForOneDog) {
  const MixedData d = OneDog(
      {6.10, 6.31, 5.98, 6.44, 6.27, 6.52, 6.05, 6.38, 6.61, 6.15, 6.49, 6.33},
      {0, 0, 0, 1, 0, 1, 0, 0, 1, 0, 0, 1},
      {{22, 25, 24, 31, 28, 33, 23, 30, 35, 26, 32, 27}});
  const auto f = FitCensored(d);
  ASSERT_TRUE(f.has_value());
  // Both stop where the likelihood is flat to 1e-14 of itself.
  ExpectClose(f->beta[0], 4.8759557373748068, 1e-6);
  ExpectClose(f->beta[1], 0.0520140757769746, 1e-6);
  ExpectClose(std::sqrt(f->residual), 0.086638677047525, 1e-6);
  ExpectClose(f->criterion, -12.26803556824603, 1e-9);
  ExpectClose(f->BetaCov(0, 0), 0.04344626048214, 1e-5);
  ExpectClose(f->BetaCov(0, 1), -1.58384866613e-03, 1e-5);
}

// Tobin's durable goods (Econometrica 26 (1958) 24), as in R's survival, whose
// pages print 15.145, -0.129, -0.0455 and scale 5.57; zero there is an upper
// bound, so the sign is turned here.
TEST(CensoredModel, GivesTobinsExample) {
  const std::vector<double> durable = {0.0, 0.7, 0.0, 0.0,  0.0, 0.0, 0.0,
                                       3.7, 0.0, 3.0, 10.4, 0.0, 0.0, 0.0,
                                       1.5, 0.0, 0.0, 3.5,  6.1, 0.0};
  std::vector<double> y;
  std::vector<char> bound;
  for (const double v : durable) {
    y.push_back(-v);
    bound.push_back(v > 0.0 ? 0 : 1);
  }
  const auto f = FitCensored(
      OneDog(y, bound,
             {{57.7, 50.9, 48.5, 41.7, 47.7, 59.8, 44.3, 45.1, 51.7, 50.0,
               46.8, 58.0, 58.9, 40.0, 34.1, 39.9, 33.4, 48.1, 46.6, 53.1},
              {236, 283, 207, 220, 238, 216, 284, 221, 275, 269,
               207, 249, 246, 277, 231, 219, 240, 266, 214, 251}}));
  ASSERT_TRUE(f.has_value());
  ExpectClose(-f->beta[0], 15.1448663322208894, 1e-6);
  ExpectClose(-f->beta[1], -0.1290592838645526, 1e-6);
  ExpectClose(-f->beta[2], -0.0455416628896779, 1e-6);
  ExpectClose(std::sqrt(f->residual), 5.57253976599521, 1e-6);
  ExpectClose(f->criterion, 57.8802663994412, 1e-9);
  ExpectClose(std::sqrt(f->BetaCov(1, 1)), 0.2185835967164, 1e-4);
}

TEST(CensoredModel, IsThePlainFitWithoutBounds) {
  RandomNumbers random(5);
  std::vector<double> truth;
  MixedData d = Study(random, 7, 5, 100.0, truth);
  const auto f = FitCensored(d);
  const auto plain = FitMixed(d, Likelihood::kFull);
  ASSERT_TRUE(f && plain);
  ExpectClose(f->criterion, plain->criterion, 1e-9);
  ExpectClose(f->variance[0], plain->variance[0], 1e-5);
  ExpectClose(f->residual, plain->residual, 1e-5);
  ExpectClose(f->BetaCov(0, 0), plain->BetaCov(0, 0), 1e-4);
  for (std::size_t j = 0; j < 7; ++j) {
    EXPECT_NEAR(f->effect[0][j], plain->effect[0][j], 1e-6);
  }
}

TEST(CensoredModel, RefusesNothingButBounds) {
  const MixedData d = OneDog({6.0, 6.1, 6.2}, {1, 1, 1}, {});
  EXPECT_FALSE(FitCensored(d).has_value());
}

}  // namespace
}  // namespace masseter
