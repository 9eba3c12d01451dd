// Analysis of variance against NIST's certified sets, and the classic gauge
// study.
#include "core/study/gauge.h"

#include "core/study/anova.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::Column;
using reference::ReadTable;
using reference::Table;
using reference::WorstDigits;

struct Certified {
  double between_ss;
  double within_ss;
  double f;
  double r_squared;
  double residual_sd;
  double digits;  // what the data keep when they are rounded to double
};

void ExpectAnova(const std::string& name, const Certified& c) {
  const Table t = ReadTable("nist_" + name + ".csv");
  std::vector<std::size_t> group;
  std::size_t groups = 0;
  for (const double g : t.at("group")) {
    group.push_back(static_cast<std::size_t>(g) - 1);
    groups = std::max(groups, group.back() + 1);
  }
  const auto a = AnalyseOneWay(t.at("y"), group, groups);
  ASSERT_TRUE(a.has_value()) << name;
  const Column is = {a->between_ss, a->within_ss, a->f, a->r_squared,
                     a->residual_sd};
  const Column want = {c.between_ss, c.within_ss, c.f, c.r_squared,
                       c.residual_sd};
  EXPECT_GE(WorstDigits(name, is, want), c.digits);
}

// NIST StRD, analysis of variance. The data of SmLs04 and SmLs07 have 1e6 and
// 1e12 in front of differences of 0.1, so a double keeps about 9 and 3 digits.
TEST(Anova, AgreesWithNistsCertifiedSets) {
  ExpectAnova("sirstv", {0.0511462616, 0.21663656, 1.18046237440255,
                         0.190999039051129, 0.104076068334656, 10.0});
  ExpectAnova("atmwtag",
              {3.638341875e-09, 1.04951729166667e-08, 15.946733567793,
               0.257426544538321, 1.5104831444641e-05, 7.0});
  ExpectAnova("smls01", {1.68, 1.8, 21.0, 0.482758620689655, 0.1, 13.0});
  ExpectAnova("smls04", {1.68, 1.8, 21.0, 0.482758620689655, 0.1, 8.0});
  ExpectAnova("smls07", {1.68, 1.8, 21.0, 0.482758620689655, 0.1, 2.0});
}

CrossedTable Aiag() {
  const Table t = ReadTable("aiag_msa_gauge_rr.csv");
  CrossedTable out{{10, 3}, 3, Column(90, 0.0)};
  for (std::size_t i = 0; i < 90; ++i) {
    const auto part = static_cast<std::size_t>(t.at("part")[i]) - 1;
    const auto who = static_cast<std::size_t>(t.at("appraiser")[i]) - 1;
    const auto trial = static_cast<std::size_t>(t.at("trial")[i]) - 1;
    out.values[(part * 3 + who) * 3 + trial] = t.at("y")[i];
  }
  return out;
}

void ExpectClose(double is, double want) {
  EXPECT_NEAR(is, want, 1e-9 * std::fabs(want)) << want;
}

// AIAG, Measurement Systems Analysis, 4th ed. (2010), ANOVA method, printed
// values; full precision by formulas in Python and lme4 1.1.31.
TEST(Gauge, GivesTheClassicStudyOfTenParts) {
  const auto g = AnalyseGauge(Aiag());
  ASSERT_TRUE(g.has_value());
  EXPECT_EQ(g->anova.pooled, std::vector<unsigned>{3U});
  EXPECT_NEAR(g->repeatability.sd, 0.199933, 5e-7);  // as printed
  EXPECT_NEAR(g->reproducibility.sd, 0.226838, 5e-7);
  EXPECT_NEAR(g->gauge.sd, 0.302373, 2e-6);
  EXPECT_NEAR(g->dogs.sd, 1.042327, 1e-6);
  ExpectClose(g->repeatability.sd, 0.19993317972081648);
  ExpectClose(g->reproducibility.sd, 0.22683752149632225);
  ExpectClose(g->gauge.sd, 0.30237152232290454);
  ExpectClose(g->dogs.sd, 1.0423274938380347);
  ExpectClose(g->total.sd, 1.08529956321863);
  ExpectClose(g->gauge.percent_of_total, 27.86065088114228);
  ExpectClose(g->dogs.percent_of_total, 96.04053379942818);
  ExpectClose(g->gauge.percent_contribution, 7.76215867520894);
  ExpectClose(g->categories_exact, 4.8605164766215845);
  EXPECT_EQ(g->categories, 4);
  EXPECT_EQ(g->interaction.sd, 0.0);
  EXPECT_EQ(g->conditions.size(), 1U);
  // Intervals hold their estimates.
  for (const GaugePart* p : {&g->repeatability, &g->gauge, &g->dogs}) {
    EXPECT_LT(p->sd_lo, p->sd);
    EXPECT_GT(p->sd_hi, p->sd);
  }
  // The repeatability's has a closed form, sd sqrt(dof / chi2) with 78 degrees
  // of freedom: chi2 quantiles 104.316 and 55.466 by SciPy 1.10.1. 1 %: 10,000
  // draws.
  EXPECT_NEAR(g->repeatability.sd_lo,
              g->repeatability.sd * std::sqrt(78.0 / 104.3159), 0.002);
  EXPECT_NEAR(g->repeatability.sd_hi,
              g->repeatability.sd * std::sqrt(78.0 / 55.4656), 0.002);
}

TEST(Gauge, KeepsTheInteractionWhenAsked) {
  const auto a = AnalyseCrossed(Aiag(), 1.0);
  ASSERT_TRUE(a.has_value());
  const CrossedEffect& part = *a->Find(1U);
  const CrossedEffect& who = *a->Find(2U);
  const CrossedEffect& both = *a->Find(3U);
  ExpectClose(part.ss, 88.3619344444444);
  ExpectClose(who.ss, 3.16726222222223);
  ExpectClose(both.ss, 0.358982222222222);
  ExpectClose(a->error_ss, 2.75893333333333);
  EXPECT_EQ(part.dof, 9.0);
  EXPECT_EQ(who.dof, 2.0);
  EXPECT_EQ(both.dof, 18.0);
  EXPECT_EQ(a->error_dof, 60.0);
  ExpectClose(who.f, 79.40604920082681);
  ExpectClose(part.f, 492.29142266407376);
  ExpectClose(both.f, 0.433721030135103);
  ExpectClose(both.p, 0.974106404329046);
  ExpectClose(both.variance, -0.008679588477366234);
  ExpectClose(who.variance, 0.05212292181069955);
  ExpectClose(part.variance, 1.088672139917695);
}

}  // namespace
}  // namespace masseter
