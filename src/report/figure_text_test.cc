#include "report/figure_text.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace masseter {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInf = std::numeric_limits<double>::infinity();

// Two significant digits, the value ending at the same place: JCGM 100:2008,
// 7.2.6, whose example gives 10.057 62 ohm with u = 27 mohm as 10.058 ohm.
TEST(FigureText, EndsWhereItsUncertaintyEnds) {
  EXPECT_EQ(FigureText(10.05762, 0.027, "ohm"), "10.058 ± 0.027 ohm");
  EXPECT_EQ(FigureText(743.14, 6.2, "N"), "743.1 ± 6.2 N");
  EXPECT_EQ(FigureText(743.14, 62.0, "N"), "743 ± 62 N");
  EXPECT_EQ(FigureText(743.14, 0.0123, ""), "743.140 ± 0.012");
}

TEST(FigureText, FindsThePlaceAfterRoundingTheUncertainty) {
  EXPECT_EQ(FigureText(743.14, 0.996, "N"), "743.1 ± 1.0 N");
  EXPECT_EQ(FigureText(743.14, 0.0996, "N"), "743.14 ± 0.10 N");
  EXPECT_EQ(FigureText(743.14, 9.96, "N"), "743 ± 10 N");
  EXPECT_EQ(FigureText(743.14, 99.6, "N"), "740 ± 100 N");
  EXPECT_EQ(FigureText(743.14, 0.994, "N"), "743.14 ± 0.99 N");
}

TEST(FigureText, RoundsToTensAndHundredsForAHugeUncertainty) {
  EXPECT_EQ(FigureText(743.14, 624.0, "N"), "740 ± 620 N");
  EXPECT_EQ(FigureText(743.14, 6240.0, "N"), "700 ± 6200 N");
  EXPECT_EQ(FigureText(743.14, 6.2e6, "N"), "0 ± 6200000 N");
}

TEST(FigureText, SaysThatAnUncertaintyIsNotKnown) {
  for (const std::optional<double> u :
       {std::optional<double>(), std::optional<double>(0.0),
        std::optional<double>(-1.0), std::optional<double>(kNan),
        std::optional<double>(kInf)}) {
    EXPECT_EQ(FigureText(743.14, u, "N"), "743 ± ? N");
  }
  EXPECT_EQ(FigureText(0.01234, std::nullopt, "N"), "0.0123 ± ? N");
  EXPECT_EQ(FigureText(kNan, 1.0, "N"), "? ± 1.0 N");
}

TEST(FigureText, PrintsNoNegativeZero) {
  EXPECT_EQ(FixedText(-0.04, 1), "0.0");
  EXPECT_EQ(FixedText(-4.0, -1), "0");
  EXPECT_EQ(FixedText(-0.06, 1), "-0.1");
  EXPECT_EQ(Typographic("-0.1 to -3 N"), "−0.1 to −3 N");
  EXPECT_EQ(Typographic("re-grip 1-2"), "re-grip 1-2");
}

Bite BiteOf(double peak_n, double u_n) {
  Bite bite;
  bite.verdict = Verdict::kSound;
  bite.peak_n = peak_n;
  bite.peak_u95_n = u_n;
  return bite;
}

// 1 kgf = 9.80665 N exactly: NIST SP 811, App. B.8; 743.1 / 9.80665 = 75.775.
TEST(PeakText, GivesNewtonsAndKilogramForce) {
  EXPECT_EQ(PeakText(BiteOf(743.1, 6.2)), "743.1 ± 6.2 N");
  EXPECT_EQ(PeakKgfText(BiteOf(743.1, 6.2)), "75.78 ± 0.63 kgf");
}

TEST(PeakText, GivesBothEndsOfAnIntervalThatIsNotSymmetric) {
  Bite bite = BiteOf(702.4, 58.0);
  bite.peak_lo_n = 693.2;
  bite.peak_hi_n = 798.1;
  EXPECT_EQ(PeakText(bite), "702 N (693 to 798 N)");
  EXPECT_EQ(PeakHigh(bite), 798.1);
}

TEST(PeakText, RoundsALowerBoundDown) {
  Bite bite = BiteOf(812.9, 7.0);
  bite.at_least = true;
  EXPECT_EQ(PeakText(bite), "≥ 812 N");
  EXPECT_EQ(PeakHigh(bite), std::nullopt);
  bite.peak_u95_n = 250.0;
  EXPECT_EQ(PeakText(bite), "≥ 810 N");
  bite.peak_u95_n.reset();
  EXPECT_EQ(PeakText(bite), "≥ 812 N");
}

TEST(PeakText, GivesNoFigureForAVoidBiteOrOneWithoutAPeak) {
  Bite bite = BiteOf(812.9, 7.0);
  bite.verdict = Verdict::kVoid;
  EXPECT_EQ(PeakText(bite), "no figure");
  EXPECT_EQ(PeakKgfText(bite), "");
  bite.verdict = Verdict::kDoubtful;
  bite.peak_n.reset();
  EXPECT_EQ(PeakText(bite), "no figure");
  bite.at_least = true;
  EXPECT_EQ(PeakText(bite), "no figure");
}

TEST(FigureText, WritesSharesTimesAndCounts) {
  EXPECT_EQ(PercentText(0.00604), "0.60 %");
  EXPECT_EQ(PercentText(0.0), "0 %");
  EXPECT_EQ(PercentText(-0.0112), "-1.1 %");
  EXPECT_EQ(SecondsText(0.0994), "99 ms");
  EXPECT_EQ(SecondsText(0.9996), "1.00 s");
  EXPECT_EQ(SecondsText(2.853), "2.85 s");
  EXPECT_EQ(ClockText(42.9), "0:42");
  EXPECT_EQ(ClockText(3723.0), "1:02:03");
  EXPECT_EQ(ClockText(-1.0), "0:00");
  EXPECT_EQ(GroupedText(9999), "9999");
  EXPECT_EQ(GroupedText(393692), "393\u202f692");
  EXPECT_EQ(GroupedText(1393692), "1\u202f393\u202f692");
  EXPECT_EQ(CountText(1, "bite"), "1 bite");
  EXPECT_EQ(CountText(0, "bite"), "0 bites");
}

}  // namespace
}  // namespace masseter
