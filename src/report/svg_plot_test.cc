#include "report/svg_plot.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace masseter::report {
namespace {

constexpr float kNan = std::numeric_limits<float>::quiet_NaN();

std::string Drawn(const TraceColumns& trace, double solid_to) {
  HtmlWriter w;
  {
    SvgPlot plot(w, 100.0, "t", Axis{0.0, 10.0, 0.0, 100.0},
                 Axis{0.0, 10.0, 100.0, 0.0});
    plot.Trace(trace, 0.0, solid_to);
  }
  return w.Take();
}

TEST(Axis, TicksAtOneTwoOrFiveTimesAPowerOfTen) {
  EXPECT_DOUBLE_EQ(TickStep(0.0, 743.0, 7), 100.0);
  EXPECT_DOUBLE_EQ(TickStep(0.0, 0.3, 6), 0.05);
  EXPECT_DOUBLE_EQ(TickStep(0.0, 15.0, 7), 2.0);
  EXPECT_EQ(Ticks(-0.35, 1.1, 3), (std::vector<double>{0.0, 0.5, 1.0}));
  EXPECT_DOUBLE_EQ(NiceTop(743.0, 4), 800.0);
  EXPECT_DOUBLE_EQ(NiceTop(800.0, 4), 800.0);
}

TEST(Axis, StandsRangesThatAreEmptyOrNotFinite) {
  EXPECT_EQ(TickStep(3.0, 3.0, 5), 1.0);
  EXPECT_EQ(TickStep(0.0, INFINITY, 5), 1.0);
  EXPECT_EQ(NiceTop(std::nan(""), 5), 1.0);
  EXPECT_EQ(NiceTop(0.0, 5), 1.0);
}

TEST(Axis, LabelsWithTheDecimalsOfItsStep) {
  EXPECT_EQ(TickText(0.5, 0.5), "0.5");
  EXPECT_EQ(TickText(-0.05, 0.05), "−0.05");
  EXPECT_EQ(TickText(200.0, 100.0), "200");
  EXPECT_EQ(Coordinate(-0.001), "0");
  EXPECT_EQ(Coordinate(12.50), "12.5");
}

TEST(SvgPlot, HatchesMissingColumnsAndDrawsNoLineThroughThem) {
  const TraceColumns trace = {
      0.0, 1.0, {1, 1, kNan, kNan, 2, 2}, {1, 2, kNan, kNan, 3, 2}};
  const std::string svg = Drawn(trace, 100.0);
  // Columns 2 and 3 are 20..40 of the picture.
  EXPECT_NE(svg.find("<rect class=\"gap\" x=\"20\" y=\"0\" width=\"20\""),
            std::string::npos);
  EXPECT_NE(svg.find("d=\"M5 90L15 80L15 90L5 90Z\""), std::string::npos);
  EXPECT_NE(svg.find("d=\"M45 70L55 80L55 80L45 80Z\""), std::string::npos);
  EXPECT_EQ(svg.find("beyond"), std::string::npos);
}

TEST(SvgPlot, DashesTheTraceBeyondTheCalibratedRange) {
  const TraceColumns trace = {0.0, 1.0, {1, 1, 7, 7}, {1, 1, 8, 8}};
  const std::string svg = Drawn(trace, 5.0);
  EXPECT_NE(svg.find("class=\"trace beyond\" d=\"M25 20L35 20\""),
            std::string::npos);
  // The solid run reaches the first dashed column.
  EXPECT_NE(svg.find("class=\"trace\" d=\"M5 90L15 90L25 20"),
            std::string::npos);
}

TEST(VerdictShape, DiffersInShapeNotOnlyInColour) {
  const auto drawn = [](Verdict verdict, bool at_least) {
    HtmlWriter w;
    VerdictShape(w, 8.0, 8.0, 6.0, verdict, at_least);
    return w.Take();
  };
  const std::string sound = drawn(Verdict::kSound, false);
  const std::string doubtful = drawn(Verdict::kDoubtful, false);
  const std::string none = drawn(Verdict::kVoid, false);
  const std::string bound = drawn(Verdict::kSound, true);
  EXPECT_NE(sound.find("full"), std::string::npos);
  EXPECT_NE(doubtful.find("open"), std::string::npos);
  EXPECT_NE(doubtful.find("<path"), std::string::npos);
  EXPECT_NE(none.find("<line"), std::string::npos);
  EXPECT_EQ(bound.find("circle"), std::string::npos);
  // A void bite has no bound to point up from.
  EXPECT_EQ(drawn(Verdict::kVoid, true), none);
}

}  // namespace
}  // namespace masseter::report
