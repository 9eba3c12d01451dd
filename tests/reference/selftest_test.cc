// Every line of `masseter selftest` on this build, printed with its digits,
// and the page made from it.
#include "selftest/selftest.h"

#include <regex>

#include "tests/reference/reference.h"

namespace masseter::selftest {
namespace {

TEST(Selftest, EveryLineReachesItsDigits) {
  std::size_t lines = 0;
  for (const CheckedGroup& group : RunSelftest()) {
    EXPECT_NE(group.source, "") << group.title;
    for (const CheckedLine& line : group.lines) {
      ++lines;
      EXPECT_FALSE(line.expected.empty()) << line.what;
      EXPECT_EQ(line.values.size(), line.expected.size()) << line.what;
      EXPECT_GE(line.Worst(), line.demanded) << line.what;
      const int tenths = static_cast<int>(line.Worst() * 10.0);
      std::printf("  %-62s %2d.%d digits\n", line.what.c_str(), tenths / 10,
                  tenths % 10);
    }
  }
  EXPECT_GT(lines, 60U);
}

// NIST StRD's own score: 3 digits for an error of a thousandth.
TEST(Selftest, CountsDigitsAsNistDoes) {
  EXPECT_NEAR(Digits(1.001, 1.0), 3.0, 1e-9);
  EXPECT_NEAR(Digits(-999.0, -1000.0), 3.0, 1e-9);
  EXPECT_EQ(Digits(2.0, 2.0), 15.0);
  EXPECT_NEAR(Digits(1e-5, 0.0), 5.0, 1e-9);
  EXPECT_EQ(Digits(5.0, 1.0), 0.0);
  EXPECT_EQ(Digits(std::nan(""), 1.0), 0.0);
}

TEST(Selftest, ALineFallsShortWithOneValueOffOrMissing) {
  CheckedLine line{"three", {1.0, 2.0, 3.0}, {1.0, 2.0, 3.0}, 9};
  EXPECT_TRUE(line.Reached());
  line.values[1] = 2.0 + 1e-7;
  EXPECT_FALSE(line.Reached());
  EXPECT_NEAR(line.Worst(), 7.3, 0.01);
  line.values = {1.0, 2.0};
  EXPECT_FALSE(line.Reached());
  const CheckedGroup groups[] = {{"a", "b", {line}}};
  EXPECT_FALSE(Reached(groups));
  EXPECT_FALSE((CheckedLine{"none", {}, {}, 1}).Reached());
}

// Another compiler may agree to another digit; all else must be the same.
std::string WithoutAgreed(const std::string& page) {
  return std::regex_replace(page, std::regex(R"(\| \d+ \|\n)"), "| |\n");
}

// To renew it: masseter selftest --markdown docs/validation.md
TEST(Selftest, ThePageInTheTreeIsTheGeneratedOne) {
  std::ifstream file(MASSETER_SOURCE_DIR "/docs/validation.md");
  const std::string committed((std::istreambuf_iterator<char>(file)), {});
  const std::string made = ValidationPage(RunSelftest());
  EXPECT_EQ(WithoutAgreed(committed), WithoutAgreed(made));
  EXPECT_NE(WithoutAgreed(made), made);
}

}  // namespace
}  // namespace masseter::selftest
