// Reliability and agreement against published examples, at full precision by
// R 4.2.2 with psych 2.2.9 and by formulas in Python.
#include "core/study/bland_altman.h"
#include "core/study/reliability.h"
#include "tests/reference/reference.h"

namespace masseter {
namespace {

using reference::Column;
using reference::ReadTable;
using reference::Table;

// Closed forms of doubles: what is lost is rounding.
constexpr double kRelative = 1e-9;

void ExpectClose(double is, double want, double relative = kRelative) {
  EXPECT_NEAR(is, want, relative * std::fabs(want)) << want;
}

RaterTable TableOf(const std::string& name,
                   const std::vector<std::string>& columns) {
  const Table t = ReadTable(name);
  RaterTable out;
  out.raters = columns.size();
  out.dogs = t.at(columns[0]).size();
  for (std::size_t i = 0; i < out.dogs; ++i) {
    for (const std::string& c : columns) out.value.push_back(t.at(c)[i]);
  }
  return out;
}

// Shrout and Fleiss 1979, tables 2 to 4; the six coefficients and their
// intervals are lines of the selftest (1e-8: the F quantiles of two libraries).
TEST(Reliability, GivesTheMeanSquaresAndTestsOfShroutAndFleiss) {
  const auto r = AnalyseReliability(
      TableOf("shrout_fleiss_1979.csv", {"J1", "J2", "J3", "J4"}));
  ASSERT_TRUE(r.has_value());
  ExpectClose(r->dogs_ms, 11.241666666666669);
  ExpectClose(r->within_ms, 6.2638888888888875);
  ExpectClose(r->raters_ms, 32.486111111111114);
  ExpectClose(r->error_ms, 1.019444444444442);
  const char* forms[] = {"ICC1", "ICC2", "ICC3", "ICC1k", "ICC2k", "ICC3k"};
  for (std::size_t i = 0; i < 6; ++i) EXPECT_EQ(r->icc[i].form, forms[i]);
  ExpectClose(r->icc[0].f, 1.7946784922394685);
  ExpectClose(r->icc[0].p, 0.1647688083446397, 1e-8);
  ExpectClose(r->icc[1].f, 11.027247956403299);
  ExpectClose(r->icc[1].p, 0.00013456651648433476, 1e-8);
  ExpectClose(r->alpha.value, 0.9093155423770697);
  ExpectClose(r->sem_consistency, 1.0096754153907295);
  ExpectClose(r->sem_agreement, 2.5027762362802006);
  // The source takes 1.96 for the normal quantile.
  EXPECT_NEAR(r->srd_consistency, 2.7986260390837234, 1e-4);
  EXPECT_NEAR(r->srd_agreement, 6.9372143147044465, 2e-4);
}

// R datasets::attitude; psych's manual quotes alpha 0.84.
TEST(Reliability, GivesCronbachsAlphaOfAttitude) {
  const auto r = AnalyseReliability(
      TableOf("r_attitude.csv", {"rating", "complaints", "privileges",
                                 "learning", "raises", "critical", "advance"}));
  ASSERT_TRUE(r.has_value());
  ExpectClose(r->alpha.value, 0.8431427695647598);
  ExpectClose(r->alpha.standardised, 0.8390838030295105);
  EXPECT_NEAR(r->alpha.lo, 0.7393756856431072, 1e-8);
  EXPECT_NEAR(r->alpha.hi, 0.9157730721599816, 1e-8);
  const Column without = {0.809760206308921, 0.79691745727414,
                          0.827847765938659, 0.803030975022574,
                          0.795386574198205, 0.863872311446437,
                          0.840464868265457};
  for (std::size_t i = 0; i < without.size(); ++i) {
    ExpectClose(r->alpha.without_rater[i], without[i]);
  }
}

// Pairs of columns as single measurements.
std::vector<MethodPair> Pairs(const Column& a, const Column& b) {
  std::vector<MethodPair> out;
  for (std::size_t i = 0; i < a.size(); ++i) out.push_back({{a[i]}, {b[i]}});
  return out;
}

// Lancet 1986 i:307, full precision by R; the standard error of a limit as in
// the paper of 1999.
TEST(BlandAltman, GivesTheLimitsOfThePeakFlowMeters) {
  const Table t = ReadTable("bland_altman_1986_pefr.csv");
  const auto b = CompareMethods(Pairs(t.at("wright1"), t.at("mini1")));
  ASSERT_TRUE(b.has_value());
  EXPECT_FALSE(b->repeated);
  EXPECT_NEAR(b->mean, -2.1, 0.05);
  EXPECT_NEAR(b->sd, 38.8, 0.05);
  ExpectClose(b->mean, -2.11764705882353);
  ExpectClose(b->sd, 38.7651298736074);
  ExpectClose(b->se_mean, 9.40192500350999);
  ExpectClose(b->mean_lo, -22.0488376966452);
  ExpectClose(b->mean_hi, 17.8135435789981);
  // The source takes 1.96 for the normal quantile, 1.959964.
  EXPECT_NEAR(b->limit_lo, -78.097301611094, 2e-3);
  EXPECT_NEAR(b->limit_hi, 73.8620074934469, 2e-3);
  EXPECT_NEAR(b->se_limit, 16.3951079847145, 3e-4);
}

// Stat. Methods Med. Res. 8 (1999) 135, sections 2 and 5.1: observer J against
// machine S, three readings each.
TEST(BlandAltman, CorrectsForRepeatedReadings) {
  const Table t = ReadTable("bland_altman_1999_sbp.csv");
  std::vector<MethodPair> subjects;
  for (std::size_t i = 0; i < t.at("J1").size(); ++i) {
    subjects.push_back({{t.at("J1")[i], t.at("J2")[i], t.at("J3")[i]},
                        {t.at("S1")[i], t.at("S2")[i], t.at("S3")[i]}});
  }
  const auto b = CompareMethods(subjects);
  ASSERT_TRUE(b.has_value());
  EXPECT_TRUE(b->repeated);
  EXPECT_EQ(b->subjects, 85U);
  ExpectClose(b->mean, -15.6196078431373);
  ExpectClose(b->within_a_sd * b->within_a_sd, 37.4078431372549);
  ExpectClose(b->within_b_sd * b->within_b_sd, 83.1411764705882);
  ExpectClose(b->sd * b->sd, 438.858481170246);
  EXPECT_NEAR(b->limit_lo, -56.68, 0.02);  // as printed
  EXPECT_NEAR(b->limit_hi, 25.44, 0.02);
  EXPECT_NEAR(b->limit_lo, -56.6795486767967, 1e-3);  // 1.96 there
  const auto first = CompareMethods(Pairs(t.at("J1"), t.at("S1")));
  ASSERT_TRUE(first.has_value());
  ExpectClose(first->mean, -16.2941176470588);
  ExpectClose(first->sd, 19.6109927442383);
}

struct Cardiac {
  std::vector<MethodPair> subjects;
  std::vector<Column> differences;
};
Cardiac ReadCardiac() {
  const Table t = ReadTable("bland_altman_1999_cardiac_output.csv");
  Cardiac out;
  for (std::size_t i = 0; i < t.at("item").size(); ++i) {
    const auto item = static_cast<std::size_t>(t.at("item")[i]);
    out.subjects.resize(std::max(out.subjects.size(), item));
    out.differences.resize(out.subjects.size());
    out.subjects[item - 1].a.push_back(t.at("RV")[i]);
    out.subjects[item - 1].b.push_back(t.at("IC")[i]);
    out.differences[item - 1].push_back(t.at("RV")[i] - t.at("IC")[i]);
  }
  return out;
}

// The same paper, section 5.3: unequal numbers of readings.
TEST(BlandAltman, TakesUnequalNumbersOfReadings) {
  const auto b = CompareMethods(ReadCardiac().subjects);
  ASSERT_TRUE(b.has_value());
  ExpectClose(b->within_a_sd * b->within_a_sd, 0.107227777777777);
  ExpectClose(b->within_b_sd * b->within_b_sd, 0.1378740625);
  ExpectClose(b->mean, 0.709236111111111);
  ExpectClose(b->sd, 1.0518506032198347);
  EXPECT_NEAR(b->limit_lo, -1.3523910711997649, 1e-4);  // 1.96 there
  EXPECT_NEAR(b->limit_hi, 2.7708632934219866, 1e-4);
}

// Section 5.2: the true value varies between pairs.
TEST(BlandAltman, LetsTheTruthVaryBetweenPairs) {
  const auto v = ComparePairsOfVaryingTruth(ReadCardiac().differences);
  ASSERT_TRUE(v.has_value());
  ExpectClose(v->mean, 0.602166666666667);
  ExpectClose(v->between_ms, 4.20908606060606);
  ExpectClose(v->within_ms, 0.170713993055555);
  ExpectClose(v->n0, 4.98181818181818);
  ExpectClose(v->between_variance, 0.81062213034773);
  ExpectClose(v->sd, 0.990624108026493);
  EXPECT_NEAR(v->limit_lo, -1.34, 0.005);  // as printed
  EXPECT_NEAR(v->limit_hi, 2.54, 0.005);
}

}  // namespace
}  // namespace masseter
