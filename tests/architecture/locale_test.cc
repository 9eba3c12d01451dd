// The comma-decimal run of `./dev test` must really have a comma, or it would
// prove nothing.
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <sstream>

namespace masseter {
namespace {

// `./dev test` sets MASSETER_TEST_DECIMAL_SIGN to the sign that it asked for;
// elsewhere the environment's own locale decides and only agreement between C
// and C++ is asked.
TEST(Locale, PrintsTheDecimalSignThatTheRunAskedFor) {
  std::array<char, 16> c{};
  std::snprintf(c.data(), c.size(), "%.1f", 1.5);
  std::ostringstream cpp;
  cpp << 1.5;
  EXPECT_EQ(cpp.str(), c.data());
  const char* sign = std::getenv("MASSETER_TEST_DECIMAL_SIGN");
  if (sign != nullptr) {
    EXPECT_EQ(cpp.str(), std::string("1") + sign + "5");
  }
}

}  // namespace
}  // namespace masseter
