// Intervals of the mixed model against lme4 1.1-31, lmerTest 3.1-3 and closed
// forms (scipy 1.10.1).
#include "core/study/mixed_interval.h"

#include "core/base/text_fields.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

// Both sides search for where the criterion has risen by 3.84.
constexpr double kProfile = 1e-3;

void ExpectClose(double is, double want, double relative) {
  EXPECT_NEAR(is, want, relative * std::fabs(want)) << want;
}

// Column 0 the group's label, the last the value; others numbers.
MixedData Read(const std::string& name, std::size_t group, std::size_t value) {
  std::ifstream in(MASSETER_SOURCE_DIR "/tests/reference/data/" + name);
  EXPECT_TRUE(in.good()) << name;
  std::string line;
  std::getline(in, line);
  MixedData d;
  d.random = {{"group", 0, {}}};
  std::map<std::string, std::size_t> levels;
  while (std::getline(in, line)) {
    const std::vector<std::string> cells = reference::Cells(line);
    d.y.push_back(*ParseNumber(cells.at(value)));
    d.random[0].level.push_back(
        levels.try_emplace(cells.at(group), levels.size()).first->second);
  }
  d.random[0].levels = levels.size();
  d.x = {std::vector<double>(d.y.size(), 1.0)};
  return d;
}

MixedFit Fit(const MixedData& d, Likelihood l = Likelihood::kRestricted) {
  const auto fit = FitMixed(d, l);
  EXPECT_TRUE(fit.has_value());
  return fit.value_or(MixedFit{});
}

TEST(MixedInterval, ProfilesDyestuffAsLme4Does) {
  const MixedData d = Read("lme4_dyestuff.csv", 0, 1);
  const StudyInterval reml = ProfileSd(d, Fit(d), 1);
  ExpectClose(reml.lo, 15.657197231837658, kProfile);
  ExpectClose(reml.hi, 101.06612394716528, kProfile);
  const MixedFit ml = Fit(d, Likelihood::kFull);
  const StudyInterval batch = ProfileSd(d, ml, 1);
  ExpectClose(batch.lo, 12.1985352176529, kProfile);
  ExpectClose(batch.hi, 84.0630467072979, kProfile);
  const StudyInterval residual = ProfileSd(d, ml, 0);
  ExpectClose(residual.lo, 38.2299848826353, kProfile);
  ExpectClose(residual.hi, 67.6576962446925, kProfile);
}

TEST(MixedInterval, ProfilesAnUnbalancedTableAndABoundary) {
  const MixedData d = Read("unbalanced_random_intercept.csv", 0, 3);
  const StudyInterval dog = ProfileSd(d, Fit(d), 1);
  ExpectClose(dog.lo, 117.00480141511704, kProfile);
  ExpectClose(dog.hi, 356.0403056140166, kProfile);
  const MixedData none = Read("lme4_dyestuff2.csv", 0, 1);
  const StudyInterval batch = ProfileSd(none, Fit(none, Likelihood::kFull), 1);
  EXPECT_EQ(batch.lo, 0.0);
  ExpectClose(batch.hi, 2.08404348901016, kProfile);
}

// sd / sqrt(2 dof) is the textbook's error of the scatter's deviation; that of
// Dyestuff has 24 degrees of freedom.
TEST(MixedInterval, TakesErrorsFromTheCurvature) {
  const MixedData d = Read("lme4_dyestuff.csv", 0, 1);
  const StudyInterval residual = CurvatureSds(d, Fit(d))[0];
  const double want = 1.959964 / std::sqrt(48.0);
  EXPECT_NEAR(std::log(residual.hi / 49.510099979701124), want, 1e-4);
  EXPECT_NEAR(std::log(residual.lo / 49.510099979701124), -want, 1e-4);
}

// Balanced: the F interval of the ratio of variances in closed form.
TEST(MixedInterval, GivesTheExactIntervalOfDyestuffsIcc) {
  const auto icc = ExactIcc(Read("lme4_dyestuff.csv", 0, 1));
  ASSERT_TRUE(icc.has_value());
  EXPECT_NEAR(icc->lo, 0.08383605066059327, 1e-8);
  EXPECT_NEAR(icc->hi, 0.8478768154733807, 1e-8);
}

TEST(MixedInterval, GivesSatterthwaitesDegreesOfFreedom) {
  const std::vector<double> mean = {1.0};
  const MixedData dye = Read("lme4_dyestuff.csv", 0, 1);
  EXPECT_NEAR(CoefficientDof(dye, Fit(dye)).Of(mean), 5.0, 5.0 * 0.002);
  MixedData dogs = Read("unbalanced_random_intercept.csv", 0, 3);
  EXPECT_NEAR(CoefficientDof(dogs, Fit(dogs)).Of(mean), 7.086290422071104,
              7.0 * 0.002);
  dogs.x.push_back(
      reference::Column());  // body mass, the third column of the table
  std::ifstream in(MASSETER_SOURCE_DIR
                   "/tests/reference/data/unbalanced_random_intercept.csv");
  std::string line;
  std::getline(in, line);
  while (std::getline(in, line)) {
    dogs.x[1].push_back(*ParseNumber(reference::Cells(line).at(2)));
  }
  const CoefficientDof dof(dogs, Fit(dogs));
  EXPECT_NEAR(dof.Of(std::vector<double>{1.0, 0.0}), 6.1724773686329355,
              6.0 * 0.002);
  EXPECT_NEAR(dof.Of(std::vector<double>{0.0, 1.0}), 6.029143965382812,
              6.0 * 0.002);
}

}  // namespace
}  // namespace masseter
