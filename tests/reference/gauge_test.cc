// The classic gauge study.
#include "core/study/gauge.h"

#include "core/study/anova.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::Column;
using reference::ReadTable;
using reference::Table;

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
