#include "pages/qr_code.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "pages/qr_testing.h"

namespace masseter {
namespace {

using ::testing::IsEmpty;

// ZBar, a decoder that shares no code with libqrencode, reads it back.
TEST(QrModules, AreReadByAnotherDecoder) {
  for (const std::string& text :
       {std::string("http://192.0.2.7:8600/#K7QF3M2XPD"),
        std::string("http://[2001:db8:85a3:8d3:1319:8a2e:370:7348]:65535/"
                    "#9RSTVWXYZ0"),
        std::string("x")}) {
    const auto rows = QrModules(text);
    EXPECT_EQ(qr_testing::Decode(qr_testing::Drawn(rows)), text);
  }
}

// ISO/IEC 18004:2015, 6.3.3: the finder pattern in three corners; 5.3.1.1:
// version 3 has 29 by 29 modules and holds 42 bytes at level M (table 7).
TEST(QrModules, HaveTheStandardsForm) {
  const auto rows = QrModules("http://192.168.178.100:8600/#K7QF3M2XPD");
  ASSERT_EQ(rows.size(), 29U);
  const std::vector<std::string> finder = {"1111111", "1000001", "1011101",
                                           "1011101", "1011101", "1000001",
                                           "1111111"};
  for (std::size_t i = 0; i < 7; ++i) {
    ASSERT_EQ(rows[i].size(), 29U);
    EXPECT_EQ(rows[i].substr(0, 7), finder[i]);
    EXPECT_EQ(rows[i].substr(22), finder[i]);
    EXPECT_EQ(rows[22 + i].substr(0, 7), finder[i]);
  }
}

TEST(QrModules, AreNoneForWhatDoesNotFit) {
  EXPECT_THAT(QrModules(""), IsEmpty());
  EXPECT_THAT(QrModules(std::string(5000, 'x')), IsEmpty());
}

}  // namespace
}  // namespace masseter
