// The mixed model against lme4 1.1-31 on R 4.2.2 and the printed values of
// Bates (lme4 book) and of Pinheiro and Bates 2000; every frozen figure was
// confirmed by a second program (Newton's method in numpy).
#include "core/study/mixed_model.h"

#include <algorithm>

#include "core/base/text_fields.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

// The search ends where the slope is 0 to rounding; lme4's own ends a little
// earlier, near 1e-7 of a variance.
constexpr double kVariance = 1e-6;
constexpr double kCriterion = 1e-9;
constexpr double kFixed = 1e-7;

void ExpectClose(double is, double want, double relative) {
  EXPECT_NEAR(is, want, relative * std::fabs(want)) << want;
}

using Words = std::map<std::string, std::vector<std::string>>;

Words ReadWords(const std::string& name) {
  std::ifstream in(MASSETER_SOURCE_DIR "/tests/reference/data/" + name);
  EXPECT_TRUE(in.good()) << name;
  std::string line;
  std::getline(in, line);
  const std::vector<std::string> names = reference::Cells(line);
  Words out;
  while (std::getline(in, line)) {
    const std::vector<std::string> cells = reference::Cells(line);
    for (std::size_t i = 0; i < names.size(); ++i) {
      out[names[i]].push_back(cells.at(i));
    }
  }
  return out;
}

std::vector<double> Numbers(const std::vector<std::string>& text) {
  std::vector<double> out;
  for (const std::string& t : text) out.push_back(*ParseNumber(t));
  return out;
}

RandomFactor Factor(const Words& words, const std::string& name) {
  const std::vector<std::string>& column = words.at(name);
  std::vector<std::string> levels = column;
  std::sort(levels.begin(), levels.end());
  levels.erase(std::unique(levels.begin(), levels.end()), levels.end());
  RandomFactor out;
  out.name = name;
  out.levels = levels.size();
  for (const std::string& c : column) {
    out.level.push_back(static_cast<std::size_t>(
        std::lower_bound(levels.begin(), levels.end(), c) - levels.begin()));
  }
  return out;
}

MixedData Data(const std::string& file, const std::string& y,
               const std::vector<std::string>& random) {
  const Words words = ReadWords(file);
  MixedData out;
  out.y = Numbers(words.at(y));
  out.x = {std::vector<double>(out.y.size(), 1.0)};
  for (const std::string& r : random) out.random.push_back(Factor(words, r));
  return out;
}

void AddColumn(MixedData& data, const std::string& file,
               const std::string& name) {
  data.x.push_back(Numbers(ReadWords(file).at(name)));
}

MixedFit Fit(const MixedData& data,
             Likelihood likelihood = Likelihood::kRestricted) {
  const auto fit = FitMixed(data, likelihood);
  EXPECT_TRUE(fit.has_value()) << (fit ? "" : fit.error().what);
  return fit.value_or(MixedFit{});
}

TEST(MixedModel, GivesDyestuff) {
  const MixedData d = Data("lme4_dyestuff.csv", "yield", {"batch"});
  const MixedFit f = Fit(d);
  ExpectClose(f.variance[0], 1764.05, kVariance);
  ExpectClose(f.residual, 2451.25, kVariance);
  ExpectClose(f.criterion, 319.65427684226194, kCriterion);
  ExpectClose(f.beta[0], 1527.5, kFixed);
  ExpectClose(std::sqrt(f.beta_cov[0]), 19.38341215231899, kVariance);
  ExpectClose(f.Icc(), 0.41848741489336533, kVariance);
  const std::vector<double> effects = {-17.60685135075127, 0.39126336335080936,
                                       28.562225524553895, -23.084538437651787,
                                       56.733187685757,    -44.99528678525408};
  for (std::size_t j = 0; j < 6; ++j) {
    EXPECT_NEAR(f.effect[0][j], effects[j], 42.0 * 1e-5);
  }
  const MixedFit ml = Fit(d, Likelihood::kFull);
  ExpectClose(ml.variance[0], 1388.333333333329, kVariance);
  ExpectClose(ml.residual, 2451.25, kVariance);
  ExpectClose(ml.criterion, 327.3270598811377, kCriterion);
}

TEST(MixedModel, StaysAtTheBoundaryForDyestuff2) {
  const MixedData d = Data("lme4_dyestuff2.csv", "yield", {"batch"});
  const MixedFit f = Fit(d);
  EXPECT_EQ(f.variance[0], 0.0);
  EXPECT_TRUE(f.singular);
  EXPECT_TRUE(f.separable);
  ExpectClose(f.residual, 13.806309627586206, kCriterion);
  ExpectClose(f.criterion, 161.8282778122885, kCriterion);
  ExpectClose(f.beta[0], 5.6656, kFixed);
  ExpectClose(std::sqrt(f.beta_cov[0]), 0.6783880312325241, kFixed);
  for (const double e : f.effect[0]) EXPECT_EQ(e, 0.0);
  const MixedFit ml = Fit(d, Likelihood::kFull);
  ExpectClose(ml.residual, 13.346099306666666, kCriterion);
  ExpectClose(ml.criterion, 162.87303665382575, kCriterion);
}

TEST(MixedModel, StaysAtTheBoundaryOfThreeAlikeDogs) {
  const MixedFit f = Fit(Data("unbalanced_zero_variance.csv", "y", {"dog"}));
  EXPECT_EQ(f.variance[0], 0.0);
  ExpectClose(f.residual, 1.3169444444444443, kCriterion);
  ExpectClose(f.criterion, 27.102755016274315, kCriterion);
  ExpectClose(f.beta[0], 12.022222222222222, kFixed);
}

TEST(MixedModel, GivesRailAndErgostool) {
  const MixedFit rail = Fit(Data("nlme_rail.csv", "travel", {"rail"}));
  ExpectClose(rail.variance[0], 615.3111111111134, kVariance);
  ExpectClose(rail.residual, 16.16666666666662, kVariance);
  ExpectClose(rail.criterion, 122.17700080859737, kCriterion);
  MixedData d = Data("nlme_ergostool.csv", "effort", {"subject"});
  const Words words = ReadWords("nlme_ergostool.csv");
  for (const std::string type : {"T2", "T3", "T4"}) {
    std::vector<double> column;
    for (const std::string& t : words.at("type")) {
      column.push_back(t == type ? 1.0 : 0.0);
    }
    d.x.push_back(column);
  }
  const MixedFit stool = Fit(d);
  ExpectClose(stool.variance[0], 1.7754629629629601, kVariance);
  ExpectClose(stool.residual, 1.2106481481481481, kVariance);
  ExpectClose(stool.criterion, 121.130788701999, kCriterion);
  const double beta[] = {8.555555555555557, 3.8888888888888813,
                         2.222222222222218, 0.6666666666666621};
  for (std::size_t k = 0; k < 4; ++k) {
    ExpectClose(stool.beta[k], beta[k], kFixed);
  }
  ExpectClose(stool.BetaCov(0, 0), 0.33179012345678977, kVariance);
  ExpectClose(stool.BetaCov(0, 2), -0.1345164609053498, kVariance);
  ExpectClose(stool.BetaCov(1, 1), 0.2690329218106995, kVariance);
}

// 8 dogs with 2, 9, 4, 1, 6, 3, 12 and 5 bites.
TEST(MixedModel, GivesAnUnbalancedTable) {
  const std::string file = "unbalanced_random_intercept.csv";
  MixedData d = Data(file, "y", {"dog"});
  const MixedFit plain = Fit(d);
  ExpectClose(plain.variance[0], 34942.26941278807, kVariance);
  ExpectClose(plain.residual, 4053.6724215338645, kVariance);
  ExpectClose(plain.criterion, 485.63533263377, kCriterion);
  ExpectClose(plain.beta[0], 668.3838785659107, kFixed);
  ExpectClose(plain.beta_cov[0], 4530.976580024774, kVariance);
  ExpectClose(plain.effect[0][3], 20.175545050909154, 1e-5);
  AddColumn(d, file, "mass");
  const MixedFit mass = Fit(d);
  ExpectClose(mass.variance[0], 3077.69907585083, kVariance);
  ExpectClose(mass.residual, 4022.0667960008454, kVariance);
  ExpectClose(mass.criterion, 464.92295665528167, kCriterion);
  ExpectClose(mass.beta[0], -183.99154890633145, kVariance);
  ExpectClose(mass.beta[1], 28.586960418072522, kFixed);
  ExpectClose(mass.BetaCov(0, 0), 13752.760246435124, kVariance);
  ExpectClose(mass.BetaCov(0, 1), -440.17656255615856, kVariance);
}

TEST(MixedModel, GivesSleepstudyWithRandomIntercepts) {
  MixedData d = Data("lme4_sleepstudy.csv", "Reaction", {"Subject"});
  AddColumn(d, "lme4_sleepstudy.csv", "Days");
  const MixedFit f = Fit(d);
  ExpectClose(std::sqrt(f.variance[0]), 37.12382669416641, kVariance);
  ExpectClose(std::sqrt(f.residual), 30.991233904585986, kVariance);
  ExpectClose(f.criterion, 1786.4650853949172, kCriterion);
  ExpectClose(f.beta[0], 251.4051048484856, kFixed);
  ExpectClose(f.beta[1], 10.467285959595934, kFixed);
  ExpectClose(f.BetaCov(1, 1), 0.6467721070227334, kVariance);
}

TEST(MixedModel, GivesCrossedPenicillin) {
  const MixedFit f =
      Fit(Data("lme4_penicillin.csv", "diameter", {"plate", "sample"}));
  ExpectClose(f.variance[0], 0.7169082125602999, kVariance);
  ExpectClose(f.variance[1], 3.730917874398592, kVariance);
  ExpectClose(f.residual, 0.3024154589372227, kVariance);
  ExpectClose(f.criterion, 330.8605889910957, kCriterion);
  ExpectClose(f.beta[0], 22.97222222222229, kFixed);
  ExpectClose(std::sqrt(f.beta_cov[0]), 0.808573390985762, kVariance);
  ExpectClose(f.effect[0][0], 0.80454704632359, 1e-4);
  ExpectClose(f.effect[1][5], -3.00374417763702, 1e-4);
}

TEST(MixedModel, GivesNestedPastes) {
  const MixedFit f =
      Fit(Data("lme4_pastes.csv", "strength", {"sample", "batch"}));
  ExpectClose(f.variance[0], 8.433666666666696, kVariance);
  ExpectClose(f.variance[1], 1.657308641975238, kVariance);
  ExpectClose(f.residual, 0.6779999999999972, kVariance);
  ExpectClose(f.criterion, 246.99074585347918, kCriterion);
  ExpectClose(f.beta[0], 60.053333333333356, kFixed);
  ExpectClose(std::sqrt(f.beta_cov[0]), 0.6768700661277222, kVariance);
}

// Where the instrument adds the same to every value, s^2 + m^2 is what the
// plain model calls the residual (an identity, no outside value needed).
TEST(MixedModel, TakesAKnownInstrumentOutOfTheScatter) {
  MixedData d = Data("lme4_dyestuff.csv", "yield", {"batch"});
  d.known_sd.assign(d.values(), 20.0);
  const MixedFit f = Fit(d);
  ExpectClose(f.residual + 400.0, 2451.25, 1e-5);
  ExpectClose(f.variance[0], 1764.05, 1e-5);
  ExpectClose(f.criterion, 319.65427684226194, kCriterion);
}

TEST(MixedModel, RefusesWhatCannotBeFitted) {
  MixedData d;
  d.y = {1.0, 2.0};
  d.x = {{1.0, 1.0}, {0.0, 1.0}};
  d.random = {{"dog", 2, {0, 1}}};
  EXPECT_FALSE(FitMixed(d, Likelihood::kRestricted).has_value());
  d.x = {{1.0, 1.0, 1.0, 1.0}};
  d.y = {5.0, 5.0, 7.0, 7.0};
  d.random = {{"dog", 2, {0, 0, 1, 1}}};
  EXPECT_FALSE(FitMixed(d, Likelihood::kRestricted).has_value());
}

TEST(MixedModel, SaysWhenTheFactorCannotBeTold) {
  MixedData d;
  d.y = {1.0, 2.0, 4.0, 3.0};
  d.x = {{1.0, 1.0, 1.0, 1.0}};
  d.random = {{"dog", 4, {0, 1, 2, 3}}};
  const MixedFit one_each = Fit(d);
  EXPECT_FALSE(one_each.separable);
  EXPECT_EQ(one_each.variance[0], 0.0);
  d.random = {{"dog", 2, {0, 0, 1, 1}}};
  d.x.push_back({0.0, 0.0, 1.0, 1.0});
  EXPECT_FALSE(Fit(d).separable);
}

}  // namespace
}  // namespace masseter
