// What lower bounds do to the dogs' means when they are integrated, kept as
// values, or dropped: simulated studies with known truth.
#include <numeric>

#include "core/base/random_draws.h"
#include "core/study/censored_model.h"
#include "tests/reference/censored_study.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

// What the dogs' means come to on average over many studies, as error of the
// geometric mean: bounds integrated, kept as values, dropped.
struct Bias {
  double integrated = 0.0;
  double kept = 0.0;
  double dropped = 0.0;
  double share = 0.0;
};

double MeanOfDogs(const MixedFit& fit) {
  const std::vector<double>& e = fit.effect[0];
  return fit.beta[0] + std::accumulate(e.begin(), e.end(), 0.0) /
                           static_cast<double>(e.size());
}

MixedData Dropped(const MixedData& d) {
  MixedData out;
  std::vector<std::size_t> name(d.random[0].levels, d.y.size());
  out.random = {{"dog", 0, {}}};
  for (std::size_t i = 0; i < d.y.size(); ++i) {
    if (d.at_least[i] != 0) continue;
    std::size_t& level = name[d.random[0].level[i]];
    if (level == d.y.size()) level = out.random[0].levels++;
    out.y.push_back(d.y[i]);
    out.random[0].level.push_back(level);
  }
  out.x = {std::vector<double>(out.y.size(), 1.0)};
  return out;
}

// docs/comparing.md prints these figures. 30 % of bites are bounds; 200
// studies of 8 dogs: standard error of each mean error 0.1 % and less, since
// the truth of each study is subtracted.
TEST(CensoredBias, IsUnbiasedWhereDroppingAndKeepingAreNot) {
  RandomNumbers random(11);
  Bias bias;
  constexpr int kStudies = 200;
  for (int s = 0; s < kStudies; ++s) {
    std::vector<double> truth;
    const MixedData d = Study(random, 8, 8, 6.468, truth);
    const double mean = std::accumulate(truth.begin(), truth.end(), 0.0) / 8.0;
    const auto integrated = FitCensored(d);
    const auto kept = FitMixed(d, Likelihood::kRestricted);
    const auto dropped = FitMixed(Dropped(d), Likelihood::kRestricted);
    ASSERT_TRUE(integrated && kept && dropped);
    bias.integrated += (MeanOfDogs(*integrated) - mean) / kStudies;
    bias.kept += (MeanOfDogs(*kept) - mean) / kStudies;
    bias.dropped += (MeanOfDogs(*dropped) - mean) / kStudies;
    bias.share += static_cast<double>(d.LowerBounds()) / 64.0 / kStudies;
  }
  std::printf(
      "  bounds %.1f %%: integrated %+.2f %%, kept %+.2f %%, dropped "
      "%+.2f %%\n",
      100 * bias.share, 100 * std::expm1(bias.integrated),
      100 * std::expm1(bias.kept), 100 * std::expm1(bias.dropped));
  EXPECT_NEAR(bias.share, 0.30, 0.02);
  EXPECT_NEAR(bias.integrated, 0.0, 0.01);
  EXPECT_LT(bias.kept, -0.03);
  EXPECT_LT(bias.dropped, -0.03);
}

}  // namespace
}  // namespace masseter
