#include "device/text_intake.h"

#include <gtest/gtest.h>

#include <cstdint>
#include <string>
#include <vector>

#include "device/intake_testing.h"

namespace masseter {
namespace {

using Values = std::vector<double>;

TEST(TextIntake, ReadsSamplesAsTheRigFileSays) {
  const Taken taken =
      Take(FourCells(), "1,1000,-5,6,7,8,4100\n2,2000,-6,7,8,9,4099\n");
  ASSERT_TRUE(taken.end);
  ASSERT_EQ(taken.blocks.size(), 1u);
  EXPECT_EQ(taken.blocks[0].rows, 2u);
  EXPECT_EQ(taken.blocks[0].layout, FourCells().text.columns);
  EXPECT_EQ(std::get<std::vector<std::int64_t>>(taken.blocks[0].columns[2]),
            (std::vector<std::int64_t>{-5, -6}));
  EXPECT_EQ(taken.report.rows, 2u);
  EXPECT_EQ(taken.report.lines, 2u);
  EXPECT_EQ(taken.report.broken, 0u);
  EXPECT_FALSE(taken.report.has_header);
  EXPECT_TRUE(taken.report.warnings.empty());
}

}  // namespace
}  // namespace masseter
