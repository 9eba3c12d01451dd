#include "report/trace_sketch.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <sstream>
#include <string>
#include <vector>

#include "report/utf8.h"

namespace masseter {
namespace {

// A half-sine of 100 N over two seconds from 10 s on, missing from 11.5 to 11.7
// s.
ReportBite Example() {
  ReportBite out;
  out.trace.start_s = 10.0;
  out.trace.column_s = 0.02;
  for (int k = 0; k < 100; ++k) {
    const auto f =
        static_cast<float>(100.0 * std::sin(std::numbers::pi * k / 100.0));
    const bool missing = k >= 75 && k < 85;
    const float nan = std::numeric_limits<float>::quiet_NaN();
    out.trace.low_n.push_back(missing ? nan : f);
    out.trace.high_n.push_back(missing ? nan : f);
  }
  out.bite.start_s = 10.0;
  out.bite.duration_s = 2.0;
  out.bite.peak_n = 100.0;
  out.bite.peak_u95_n = 1.0;
  out.bite.peak_at_s = 11.0;
  out.bite.verdict = Verdict::kSound;
  out.squeeze_at_s = 10.9;
  out.regrip_at_s = {11.2, 11.3};
  return out;
}

std::vector<std::string> Lines(const std::string& text) {
  std::vector<std::string> out;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) out.push_back(line);
  return out;
}

TEST(TraceSketch, FitsItsColumns) {
  for (const bool utf8 : {true, false}) {
    for (const std::size_t columns : {40U, 80U, 120U}) {
      SketchOptions options;
      options.columns = columns;
      options.utf8 = utf8;
      for (const std::string& line : Lines(TraceSketch(Example(), options))) {
        EXPECT_LE(report::ColumnsOf(line), columns) << line;
        if (utf8) continue;
        for (const char c : line) {
          EXPECT_TRUE(c >= ' ' && c <= '~') << line;
        }
      }
    }
  }
}

TEST(TraceSketch, ShowsPeakZeroGapAndPlaces) {
  SketchOptions options;
  options.utf8 = false;
  options.level_n = 30.0;
  options.level_word = "calibrated to 30 N";
  const std::string text = TraceSketch(Example(), options);
  const auto lines = Lines(text);
  // The peak stands in the first row, in the middle of 71 cells.
  EXPECT_EQ(lines[0].find('*'), 8U + 35U) << text;
  // Missing: 11.5 to 11.7 of 10 to 12 s, hatched from top to bottom.
  for (std::size_t r = 0; r < options.rows; ++r) {
    EXPECT_EQ(lines[r].find('/'), 8U + 54U) << text;
  }
  EXPECT_NE(text.find("     0 +"), std::string::npos) << text;
  EXPECT_NE(text.find("calibrated to 30 N"), std::string::npos);
  EXPECT_NE(text.find("= strike"), std::string::npos);
  EXPECT_NE(text.find("= squeeze"), std::string::npos);
  EXPECT_NE(text.find("^   ^ re-grips"), std::string::npos) << text;
}

TEST(TraceSketch, DrawsAWideIntervalAsAWhisker) {
  ReportBite bite = Example();
  bite.bite.peak_lo_n = 80.0;
  bite.bite.peak_hi_n = 130.0;
  SketchOptions options;
  options.utf8 = false;
  const std::string text = TraceSketch(bite, options);
  const auto lines = Lines(text);
  const auto bars = std::count_if(lines.begin(), lines.end(), [](auto& l) {
    return l.size() > 43 && l[43] == '|';
  });
  EXPECT_GE(bars, 3) << text;
}

TEST(TraceSketch, NothingFromNothing) {
  EXPECT_EQ(TraceSketch(ReportBite{}, {}), "");
}

}  // namespace
}  // namespace masseter
