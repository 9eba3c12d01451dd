#include "cli/qr_terminal.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "pages/qr_code.h"
#include "pages/qr_testing.h"

namespace masseter::cli {
namespace {

using ::testing::IsEmpty;

constexpr const char* kLink = "http://192.168.178.100:8600/#K7QF3M2XPD";

// What a terminal shows of the lines: 8 by 16 pixels a character, in the grey
// of the colours that are set; light letters on dark before any are.
qr_testing::Picture Shown(const std::vector<std::string>& lines) {
  qr_testing::Picture out;
  std::vector<std::vector<unsigned char>> cells;  // halves, row after row
  for (std::string line : lines) {
    unsigned char ink = 230;
    unsigned char paper = 20;
    std::vector<unsigned char> upper;
    std::vector<unsigned char> lower;
    while (!line.empty()) {
      std::size_t length = 3;
      if (line.starts_with("\x1b[38;5;16;48;5;231m")) {
        ink = 0;
        paper = 255;
        length = line.find('m') + 1;
      } else if (line.starts_with("\x1b[0m")) {
        length = 4;
      } else {
        const bool full = line.starts_with("\u2588");
        const bool top = full || line.starts_with("\u2580");
        const bool bottom = full || line.starts_with("\u2584");
        upper.push_back(top ? ink : paper);
        lower.push_back(bottom ? ink : paper);
        if (!top && !bottom) length = 1;
      }
      line.erase(0, length);
    }
    cells.push_back(upper);
    cells.push_back(lower);
  }
  out.width = cells[0].size() * 8;
  out.height = cells.size() * 8;
  for (const auto& row : cells) {
    for (int k = 0; k < 8; ++k) {
      for (const unsigned char grey : row)
        out.grey.insert(out.grey.end(), 8, grey);
    }
  }
  return out;
}

TEST(QrLines, AreReadOffTheTerminalByAnotherDecoder) {
  const auto rows = QrModules(kLink);
  for (const bool coloured : {true, false}) {
    EXPECT_EQ(qr_testing::Decode(Shown(QrLines(rows, coloured))), kLink)
        << coloured;
  }
}

TEST(QrLines, FitBesideEachOtherOn80Columns) {
  const auto rows = QrModules(kLink);
  EXPECT_EQ(QrColumns(rows), 37U);
  EXPECT_LE(2 * QrColumns(rows) + 3, 80U);
  EXPECT_EQ(QrLines(rows, true).size(), 19U);
}

TEST(QrLines, AreNoneForNoCode) {
  EXPECT_THAT(QrLines({}, true), IsEmpty());
  EXPECT_EQ(QrColumns({}), 0U);
}

}  // namespace
}  // namespace masseter::cli
