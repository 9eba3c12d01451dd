#include "pages/access_code.h"

#include <gtest/gtest.h>

#include <boost/math/distributions/chi_squared.hpp>
#include <map>
#include <set>

namespace masseter {
namespace {

TEST(AccessCodes, AreTwoAndNewEachTime) {
  std::set<std::string> seen;
  for (int i = 0; i < 50; ++i) {
    const auto codes = NewAccessCodes();
    ASSERT_TRUE(codes.has_value());
    seen.insert(codes->operate);
    seen.insert(codes->look_on);
  }
  EXPECT_EQ(seen.size(), 100U);
}

// 20000 letters, 32 equally likely ones; the limit, passed once in 1e9 runs, is
// Boost.Math's chi-squared distribution with 31 degrees of freedom.
TEST(AccessCodes, TakeEveryLetterEquallyOften) {
  std::map<char, int> times;
  for (int i = 0; i < 1000; ++i) {
    const auto codes = NewAccessCodes();
    for (const char c : codes->operate + codes->look_on) ++times[c];
  }
  double chi_square = 0.0;
  for (const char c : kCodeLetters) {
    const double off = times[c] - 20000.0 / 32.0;
    chi_square += off * off / (20000.0 / 32.0);
  }
  EXPECT_EQ(times.size(), kCodeLetters.size());
  EXPECT_LT(chi_square,
            quantile(complement(boost::math::chi_squared(31.0), 1e-9)));
}

TEST(AccessCodes, AreReadHoweverTheyAreTyped) {
  EXPECT_EQ(CodeToType("K7QF3M2XPD"), "K7QF3-M2XPD");
  for (const char* typed : {"K7QF3M2XPD", "k7qf3-m2xpd", " K7QF3 M2XPD\r\n"}) {
    EXPECT_EQ(CodeAsTyped(typed), "K7QF3M2XPD") << typed;
  }
  EXPECT_EQ(CodeAsTyped("oOiIlL"), "001111");
  EXPECT_EQ(CodeAsTyped(std::string(100000, 'A')).size(), kCodeLength + 1);
}

}  // namespace
}  // namespace masseter
