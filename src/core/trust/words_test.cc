#include "core/trust/words.h"

#include <gtest/gtest.h>

namespace masseter {
namespace {

TEST(Words, GiveTwoDigitsOrWholeUnits) {
  EXPECT_EQ(InNewtons(812.4), "812 N");
  EXPECT_EQ(InNewtons(7.44), "7.4 N");
  EXPECT_EQ(InNewtons(0.314), "0.31 N");
  EXPECT_EQ(InNewtons(0.04), "0.04 N");
  EXPECT_EQ(InNewtons(0.0), "0.00 N");
  EXPECT_EQ(InNewtons(-12.6), "-13 N");
  EXPECT_EQ(InPercent(0.0241), "2.4 %");
  EXPECT_EQ(InPercent(0.12), "12 %");
  EXPECT_EQ(InMillimetres(13.6), "14 mm");
}

TEST(Words, RoundAcrossTheirSteps) {
  EXPECT_EQ(InNewtons(9.96), "10 N");
  EXPECT_EQ(InNewtons(9.94), "9.9 N");
  EXPECT_EQ(InNewtons(0.996), "1.0 N");
  EXPECT_EQ(InNewtons(0.994), "0.99 N");
}

TEST(Words, ASecondAndMoreIsToldInSeconds) {
  EXPECT_EQ(InMilliseconds(0.081), "81 ms");
  EXPECT_EQ(InMilliseconds(0.0004), "0.40 ms");
  EXPECT_EQ(InMilliseconds(0.9994), "999 ms");
  EXPECT_EQ(InMilliseconds(0.9996), "1.0 s");
  EXPECT_EQ(InMilliseconds(2.44), "2.4 s");
}

}  // namespace
}  // namespace masseter
