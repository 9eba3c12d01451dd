#include "core/metrology/readings.h"

#include <gtest/gtest.h>

#include <string>

namespace masseter {
namespace {

Rig TwoChannels() {
  Rig rig;
  rig.sample_rate_hz = 100.0;
  for (const char* name : {"left", "right"}) {
    Channel channel;
    channel.name = name;
    rig.channels.push_back(channel);
  }
  return rig;
}

Expected<ReadingsTable> Parse(const std::string& text) {
  return ParseReadings(text, "r.csv", TwoChannels());
}

std::string ErrorOf(const std::string& text) {
  const auto table = Parse(text);
  return table ? "no error" : table.error().Text();
}

const std::string kHeader = "series,direction,mass_kg,x_mm,y_mm,left,right\n";

TEST(Readings, ReadsEveryColumnInAnyOrder) {
  const auto t = Parse(
      "right,y_mm,x_mm,mass_kg,t_s,temp_c,direction,series,left\n"
      "7,-2.5,10,20,1.5,21.25,down,b,-3e2\n");
  ASSERT_TRUE(t) << t.error().Text();
  ASSERT_EQ(t->rows.size(), 1U);
  const Reading& r = t->rows[0];
  EXPECT_EQ(r.line, 2);
  EXPECT_EQ(r.series, "b");
  EXPECT_FALSE(r.rising);
  EXPECT_EQ(r.mass_kg, 20.0);
  EXPECT_FALSE(r.force_n.has_value());
  EXPECT_EQ(r.x_mm, 10.0);
  EXPECT_EQ(r.y_mm, -2.5);
  EXPECT_EQ(r.temp_c, 21.25);
  EXPECT_EQ(r.t_s, 1.5);
  EXPECT_EQ(r.signal, (std::vector<double>{-300.0, 7.0}));
  EXPECT_TRUE(t->by_mass);
  EXPECT_TRUE(t->has_position);
}

TEST(Readings, SeriesAndDirectionHaveDefaults) {
  const auto t = Parse("force_n,left,right\n100,1,2\n");
  ASSERT_TRUE(t) << t.error().Text();
  EXPECT_EQ(t->rows[0].series, "1");
  EXPECT_TRUE(t->rows[0].rising);
  EXPECT_EQ(t->rows[0].Load(), 100.0);
  EXPECT_FALSE(t->by_mass);
  EXPECT_FALSE(t->has_position);
}

TEST(Readings, AZeroReadingNeedsNoPlace) {
  const auto t = Parse(kHeader + "1,up,0,,,5,6\n");
  ASSERT_TRUE(t) << t.error().Text();
  EXPECT_EQ(t->rows[0].Load(), 0.0);
  EXPECT_EQ(ErrorOf(kHeader + "1,up,5,,,5,6\n"),
            "r.csv:2: x_mm is not a number: \"\"");
  EXPECT_EQ(ErrorOf(kHeader + "1,up,5,3,,5,6\n"),
            "r.csv:2: y_mm is not a number: \"\"");
}

TEST(Readings, TakesSemicolonsTabsMarksOfOrderAndCarriageReturns) {
  const std::string rows[] = {
      "\xEF\xBB\xBFmass_kg,left,right\r\n# a remark\r\n\r\n5,1,2\r\n",
      "mass_kg;left;right\n\n# a; remark\n 5 ; 1 ;2",
      "mass_kg\tleft\tright\n#\n\n5\t1\t2\n",
      "\"mass_kg\",\"left\",\"right\"\n\n\n\"5\",\"1\",+2\n"};
  for (const std::string& text : rows) {
    const auto t = Parse(text);
    ASSERT_TRUE(t) << t.error().Text() << "\n" << text;
    ASSERT_EQ(t->rows.size(), 1U) << text;
    EXPECT_EQ(t->rows[0].line, 4) << text;
    EXPECT_EQ(t->rows[0].mass_kg, 5.0) << text;
    EXPECT_EQ(t->rows[0].signal, (std::vector<double>{1.0, 2.0})) << text;
  }
}

TEST(Readings, EveryMistakeOfTheHeaderIsNamed) {
  EXPECT_EQ(ErrorOf(""), "r.csv: the readings file is empty");
  EXPECT_EQ(ErrorOf("# only a remark\n"), "r.csv: the readings file is empty");
  EXPECT_EQ(ErrorOf(kHeader),
            "r.csv: the readings file has a header and no readings");
  EXPECT_EQ(ErrorOf("\n\nmass_kg,left,left,right\n"),
            "r.csv:3: the column \"left\" stands twice in the header");
  EXPECT_EQ(ErrorOf("mass_kg,force_n,left,right\n"),
            "r.csv:1: the header has both mass_kg and force_n; keep the one "
            "that was measured");
  EXPECT_EQ(ErrorOf("left,right\n"),
            "r.csv:1: the header has neither mass_kg nor force_n; one of them "
            "states the load");
  EXPECT_EQ(ErrorOf("mass_kg,y_mm,left,right\n"),
            "r.csv:1: the header has one of x_mm and y_mm; both or none");
  EXPECT_EQ(ErrorOf("mass_kg,left\n"),
            "r.csv:1: the header has no column for the rig's channel "
            "\"right\"");
}

TEST(Readings, EveryMistakeOfARowIsNamedWithItsLine) {
  const std::string good = kHeader + "1,up,0,0,0,1,1\n";
  EXPECT_EQ(ErrorOf(good + "1,up,5,0,0,1\n"),
            "r.csv:3: 6 fields where the header has 7");
  EXPECT_EQ(ErrorOf(good + "1,up,5,0,0,1,1,1\n"),
            "r.csv:3: 8 fields where the header has 7");
  EXPECT_EQ(ErrorOf(good + "1,rising,5,0,0,1,1\n"),
            "r.csv:3: direction is neither up nor down: \"rising\"");
  EXPECT_EQ(ErrorOf(good + "\n1,up,1o,0,0,1,1\n"),
            "r.csv:4: mass_kg is not a number: \"1o\"");
  EXPECT_EQ(ErrorOf(good + "1,up,-5,0,0,1,1\n"),
            "r.csv:3: mass_kg is negative: \"-5\"");
  EXPECT_EQ(ErrorOf(good + "1,up,5,0,0,1,x\n"),
            "r.csv:3: right is not a number: \"x\"");
  EXPECT_EQ(ErrorOf(good + "1,up,5,nan,0,1,1\n"),
            "r.csv:3: x_mm is not a number: \"nan\"");
  EXPECT_EQ(ErrorOf("mass_kg,temp_c,left,right\n5,warm,1,1\n"),
            "r.csv:2: temp_c is not a number: \"warm\"");
  EXPECT_EQ(ErrorOf("mass_kg,t_s,left,right\n5,1:20,1,1\n"),
            "r.csv:2: t_s is not a number: \"1:20\"");
  // A decimal comma makes a field too many, not a wrong load.
  EXPECT_EQ(ErrorOf("mass_kg,left,right\n5,5,1,1\n"),
            "r.csv:2: 4 fields where the header has 3");
}

TEST(Readings, WhatCannotBePrintedIsNotPrinted) {
  EXPECT_EQ(ErrorOf("mass_kg,left,right\n5\x1b[31m,1,1\n"),
            "r.csv:2: mass_kg is not a number: \"5?[31m\"");
}

}  // namespace
}  // namespace masseter
