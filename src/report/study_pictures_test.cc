#include "report/study_pictures.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>
#include <string>

#include "report/claim_picture.h"
#include "report/markup_check.h"
#include "report/plan_sheet.h"

namespace masseter::report {
namespace {

using testing::HasSubstr;
using testing::Not;

MassForcePicture Dogs() {
  MassForcePicture p;
  p.dogs = {{"Brisk", 28.0, 520.0, false},
            {"Juno", 31.0, 610.0, false},
            {"Tarn <b>", 27.0, 240.0, true},
            {"Otto", 41.0, 800.0, false}};
  std::vector<MassPoint> points;
  for (const MassForceDog& d : p.dogs) points.push_back({d.mass_kg, d.force_n});
  p.fit = *FitAllometry(points);
  return p;
}

BlandAltmanPicture Sleeves() {
  const auto b = CompareMethods(
      {{{500}, {510}}, {{620}, {600}}, {{410}, {430}}, {{700}, {705}}});
  return {*b, "left \"A\"", "right & B", "peak_n", false};
}

void ExpectDrawable(const std::string& svg) {
  EXPECT_EQ(PictureError(svg), "");
  EXPECT_THAT(svg, Not(HasSubstr("var(")));
}

TEST(MassForceSvg, IsOneFileThatShowsEveryDogAndSource) {
  const std::string svg = MassForceSvg(Dogs());
  ExpectDrawable(svg);
  EXPECT_THAT(svg, HasSubstr("Brisk"));
  EXPECT_THAT(svg, HasSubstr("class=\"odd\""));
  EXPECT_THAT(svg, HasSubstr("rawhide"));
  MassForcePicture own = Dogs();
  own.published = false;
  own.fit.reset();
  EXPECT_THAT(MassForceSvg(own), Not(HasSubstr("rawhide")));
}

// Dogs of nearly the same mass and force: five names of the same height must
// have five heights, or stand left and right of their dots.
TEST(MassForceSvg, WritesNoNameOverAnother) {
  MassForcePicture p;
  for (const char* name : {"Brisk", "Juno", "Tarn", "Otto", "Moss"}) {
    const double more = static_cast<double>(p.dogs.size());
    p.dogs.push_back({name, 30.0 + 0.1 * more, 600.0 + more, false});
  }
  const Markup markup = ReadMarkup("<!doctype html>" + MassForcePlot(p));
  ASSERT_EQ(markup.error, "");
  std::set<std::string> places;
  std::size_t names = 0;
  for (const Markup::Element& e : markup.elements) {
    const auto cls = e.attributes.find("class");
    if (e.tag != "text" || cls == e.attributes.end()) continue;
    if (cls->second != "ink") continue;
    ++names;
    places.insert(e.attributes.at("y") + e.attributes.at("text-anchor"));
  }
  EXPECT_EQ(names, 5U);
  EXPECT_EQ(places.size(), 5U);
}

TEST(BlandAltmanSvg, ShowsADotForEverySubject) {
  const std::string svg = BlandAltmanSvg(Sleeves());
  ExpectDrawable(svg);
  std::size_t dots = 0;
  for (std::size_t at = svg.find("<circle"); at != std::string::npos;
       at = svg.find("<circle", at + 1)) {
    ++dots;
  }
  EXPECT_EQ(dots, 4U);
  EXPECT_THAT(svg, HasSubstr("upper limit"));
}

TEST(BlandAltmanSvg, ShowsRatiosOfLogarithms) {
  auto p = Sleeves();
  p.result = *CompareMethods({{{6.2}, {6.1}}, {{6.3}, {6.4}}, {{6.0}, {6.1}}});
  p.log = true;
  const std::string svg = BlandAltmanSvg(p);
  ExpectDrawable(svg);
  EXPECT_THAT(svg, HasSubstr(" %"));
}

// 743 N on 1 cm2 is 7430 kPa, on 0.15 m2 4.953 kPa; 1 psi is 6.894757 kPa (NIST
// SP 811).
TEST(ClaimSvg, ShowsTwoPressuresOfOneForce) {
  const std::string svg = ClaimSvg({Force(743.0), "measured"});
  ExpectDrawable(svg);
  EXPECT_THAT(svg, HasSubstr("1078 psi"));
  EXPECT_THAT(svg, HasSubstr("7430 kPa"));
  EXPECT_THAT(svg, HasSubstr("0.718 psi"));
  EXPECT_THAT(svg, HasSubstr("4.95 kPa"));
}

TEST(PlanSheet, HoldsEveryTurnAndTheCautions) {
  PlanSheet sheet;
  sheet.question = "To answer: something.";
  sheet.turns = {{1, "0:00", "Brisk <i>", "practice", ""},
                 {1, "0:02", "Juno", "1", ""},
                 {2, "0:00", "Juno", "2", ""}};
  const std::string html = PlanSheetHtml(sheet);
  EXPECT_EQ(ReadMarkup(html).error, "");
  EXPECT_THAT(html, HasSubstr("Brisk &lt;i&gt;"));
  EXPECT_THAT(html, HasSubstr("Day 2"));
  for (const std::string_view caution : PlanCautions()) {
    EXPECT_THAT(html, HasSubstr(std::string(caution.substr(0, 15))));
  }
}

}  // namespace
}  // namespace masseter::report
