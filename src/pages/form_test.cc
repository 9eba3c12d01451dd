#include "pages/form.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace masseter {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

// RFC 6265 section 4.2.1: pairs, "; " between them.
TEST(CookieValues, AreAllThatHaveTheName) {
  EXPECT_THAT(CookieValues("a=1; m_1=xy; b=; m_1=zz=z", "m_1"),
              ElementsAre("xy", "zz=z"));
  EXPECT_THAT(CookieValues("a=1;m_1=xy;", "m_1"), ElementsAre("xy"));
  for (const char* none : {"", ";;;", "am_1=x", "m_1x=x", "=m_1", "M_1=x"}) {
    EXPECT_THAT(CookieValues(none, "m_1"), IsEmpty()) << none;
  }
}

// WHATWG URL standard, section 5.1.
TEST(FormValue, IsDecoded) {
  EXPECT_EQ(FormValue("x=1&code=K7QF3-M2XPD", "code"), "K7QF3-M2XPD");
  EXPECT_EQ(FormValue("code=a+b%2Dc%2d", "code"), "a b-c-");
  EXPECT_EQ(FormValue("c%6Fde=x&code=y", "code"), "x");
  EXPECT_EQ(FormValue("code=%&code=y", "code"), "%");
  EXPECT_EQ(FormValue("code=%4", "code"), "%4");
  EXPECT_EQ(FormValue("code", "code"), "");
  EXPECT_EQ(FormValue("", "code"), "");
}

}  // namespace
}  // namespace masseter
