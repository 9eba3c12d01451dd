#include "report/health_html.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "report/health_curves.h"
#include "report/markup_check.h"

namespace masseter {
namespace {

using report::Markup;
using report::ReadMarkup;
using ::testing::HasSubstr;
using ::testing::Not;

// A minute of a healthy sleeve with two cells at 100 samples a second.
HealthModel Healthy() {
  HealthModel m;
  m.title = "Test <sleeve>";
  m.capture = "Recording 3";
  m.created = "2026-05-16 14:07";
  CaptureHealth& h = m.health;
  h.duration_s = 60.0;
  h.samples = 6000;
  h.lines = {{"rate", HealthLevel::kGo, "100.0 samples a second", "", 100.0,
              "1/s", "go within 2 %, no-go beyond 20 %"},
             {"losses", HealthLevel::kGo, "none", "", 0.0, "%",
              "go up to 0.01 %, no-go above 1 %"}};
  HealthPictures& p = h.pictures;
  p.period_s = 0.01;
  p.steps[40] = 5999;
  p.channels = {"c<1>", "c2"};
  p.noise = {{"c<1>", 0.2, 0.5, 2.5}, {"c2", 0.3, 0.5, 2.5}};
  p.zero_watch = 9.0;
  p.supply_minimum_mv = 3300.0;
  p.in_newtons = true;
  p.force = ForceStrip(0.5);
  for (int s = 0; s < 60; ++s) {
    const bool bite = s >= 20 && s < 24;
    HealthSecond second = {static_cast<double>(s), 3900.0 - s, {}};
    p.force.Add(s, -1.0);
    p.force.Add(s + 0.5, bite ? 600.0 : 1.0);
    if (!bite) second.zero = {0.01 * s, -0.02 * s};
    p.seconds.push_back(second);
  }
  return m;
}

// One line to watch, one that stands against a field day.
HealthModel Faulty() {
  HealthModel m = Healthy();
  m.health.lines[0].level = HealthLevel::kWatch;
  m.health.lines[0].advice = "write the rate into the rig file";
  m.health.lines[1].level = HealthLevel::kNoGo;
  m.health.lines[1].found = "900 samples missing";
  m.health.lines[1].advice = "bring the receiver nearer";
  m.health.level = HealthLevel::kNoGo;
  m.health.pictures.breaks = {{Break::kGap, 3000, 31.5, 1.5, 150},
                              {Break::kRestart, 4000, 41.0, 0.0, 0}};
  return m;
}

std::string Checked(const HealthModel& model) {
  std::string html = HealthHtml(model);
  EXPECT_EQ(ReadMarkup(html).error, "");
  return html;
}

std::size_t CountOf(const Markup& markup, const std::string& tag,
                    const std::string& cls) {
  std::size_t n = 0;
  for (const auto& e : markup.elements) {
    const auto it = e.attributes.find("class");
    n += e.tag == tag && it != e.attributes.end() && it->second == cls;
  }
  return n;
}

// Where `a` stands before `b`.
void ExpectOrder(const std::string& html, const std::string& a,
                 const std::string& b) {
  ASSERT_NE(html.find(a), std::string::npos) << a;
  ASSERT_NE(html.find(b), std::string::npos) << b;
  EXPECT_LT(html.find(a), html.find(b)) << a << " before " << b;
}

TEST(HealthHtml, AnswersFirstInOneWord) {
  HealthModel model = Healthy();
  std::string html = Checked(model);
  EXPECT_THAT(html, HasSubstr("<span>Go</span>"));
  ExpectOrder(html, "<span>Go</span>", "What was looked at");
  EXPECT_THAT(html, Not(HasSubstr("What to do")));
  model.health.lines[0].level = HealthLevel::kWatch;
  model.health.level = HealthLevel::kWatch;
  html = Checked(model);
  EXPECT_THAT(html, HasSubstr("<span>Watch</span>"));
  EXPECT_THAT(html, HasSubstr("Go, and watch 1 line."));
  html = Checked(Faulty());
  EXPECT_THAT(html, HasSubstr("<span>No-go</span>"));
  EXPECT_THAT(html, HasSubstr("No go: mend 1 line first."));
}

TEST(HealthHtml, SaysWhatToDoBeginningWithWhatStandsAgainstIt) {
  const std::string html = Checked(Faulty());
  ExpectOrder(html, "bring the receiver nearer",
              "write the rate into the rig file");
  ExpectOrder(html, "write the rate into the rig file", "What was looked at");
}

TEST(HealthHtml, EveryLineHasItsShapeItsFindingAndItsLimit) {
  const Markup markup = ReadMarkup(Checked(Faulty()));
  EXPECT_EQ(CountOf(markup, "td", "level v-doubtful"), 1U);
  EXPECT_EQ(CountOf(markup, "td", "level v-void"), 1U);
  EXPECT_EQ(CountOf(markup, "td", "found held"), 2U);
  EXPECT_THAT(markup.text, HasSubstr("900 samples missing"));
  EXPECT_THAT(markup.text,
              HasSubstr("go up to 0.01\u00a0%, no-go above 1\u00a0%"));
}

TEST(HealthHtml, GapsAreHatchedAndRestartsDrawn) {
  const Markup plain = ReadMarkup(Checked(Healthy()));
  EXPECT_EQ(CountOf(plain, "path", "hatch"), 0U);
  EXPECT_EQ(CountOf(plain, "line", "restart"), 0U);
  EXPECT_THAT(plain.text, HasSubstr("No gap, no restart."));
  const Markup markup = ReadMarkup(Checked(Faulty()));
  EXPECT_EQ(CountOf(markup, "path", "hatch"), 1U);
  EXPECT_EQ(CountOf(markup, "line", "restart"), 1U);
  EXPECT_THAT(markup.text, HasSubstr("1 gap, the longest 1.50 s"));
}

TEST(HealthHtml, DrawsTheForceACurveAChannelAndABarANoise) {
  const Markup markup = ReadMarkup(Checked(Healthy()));
  EXPECT_EQ(CountOf(markup, "path", "trace"), 1U);
  EXPECT_EQ(CountOf(markup, "path", "zero-one d0"), 1U);
  EXPECT_EQ(CountOf(markup, "path", "zero-one d1"), 1U);
  EXPECT_EQ(CountOf(markup, "path", "zero-all"), 1U);
  EXPECT_EQ(CountOf(markup, "rect", "bar"), 3U);  // one step, two noises
  EXPECT_EQ(CountOf(markup, "path", "supply"), 1U);
}

TEST(HealthHtml, ADayOfSecondsStaysASmallPage) {
  HealthModel model = Healthy();
  auto& p = model.health.pictures;
  p.seconds.clear();
  for (int s = 0; s < 36000; ++s) {
    p.seconds.push_back({static_cast<double>(s), 3900.0, {0.1, 0.2}});
    p.force.Add(s, s % 60);
  }
  for (int k = 0; k < 10000; ++k) {
    p.breaks.push_back({Break::kGap, 0, 3.5 * k, 0.02, 2});
  }
  const std::string html = Checked(model);
  EXPECT_LT(html.size(), 400000U);
  EXPECT_THAT(html, HasSubstr("Time (min)"));
  EXPECT_THAT(html, HasSubstr("10000 gaps"));
}

TEST(HealthHtml, WhatWasNotMeasuredIsNotDrawn) {
  HealthModel model = Healthy();
  model.health.pictures = HealthPictures();
  const Markup markup = ReadMarkup(Checked(model));
  for (const auto& e : markup.elements) EXPECT_NE(e.tag, "figure");
}

TEST(HealthHtml, NeedsNothingFromOutsideAndEscapesNames) {
  const std::string html = Checked(Healthy());
  EXPECT_THAT(html, HasSubstr("default-src &#39;none&#39;"));
  EXPECT_THAT(html, HasSubstr("Test &lt;sleeve&gt;"));
  EXPECT_THAT(html, HasSubstr("c&lt;1&gt;"));
  for (const char* word : {"src=", "href=", "url(", "<script", "<sleeve>"}) {
    EXPECT_THAT(html, Not(HasSubstr(word)));
  }
}

TEST(HealthCurve, SharesSecondsOutSoThatNoneIsLostOrTwice) {
  for (const std::size_t n : {1U, 7U, 300U, 301U, 1000U}) {
    std::size_t at = 0;
    for (const auto& range : report::ShareOut(n, 300)) {
      EXPECT_EQ(range.first, at);
      EXPECT_GT(range.end, range.first);
      at = range.end;
    }
    EXPECT_EQ(at, n);
  }
  EXPECT_TRUE(report::ShareOut(0, 300).empty());
}

}  // namespace
}  // namespace masseter
