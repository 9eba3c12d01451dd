#include "report/certificate_html.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "report/example_certificate.h"
#include "report/markup_check.h"

namespace masseter {
namespace {

using report::ReadMarkup;
using ::testing::HasSubstr;
using ::testing::Not;

CertificateModel Small() {
  CertificateModel m;
  m.title = "Test <sleeve>";
  m.number = "Calibration 3";
  m.created = "2026-05-16 14:07";
  m.identification = {{"Rig", "revision 1"}};
  m.conditions = {{"Gravity", "9.81225 m/s²"}};
  m.validity = {{"Age", "no age limit"}};
  m.shown_axis = "Sleeve (N)";
  m.terms = {{"Repeatability", std::nullopt}, {"Reproducibility", 0.00075}};
  m.loads = {
      {100.0, 6, 0.001, -0.002, 0.004, std::nullopt, -0.0001, 0.003, ""},
      {200.0, 6, -0.001, 0.002, 0.004, std::nullopt, 0.0001, 0.003, "2"}};
  m.places = {{0.0, 0.0, 6, 0.001, 0.002, 0.0},
              {60.0, 0.0, 6, -0.003, 0.004, -0.02}};
  m.readings = {{100.0, 100.1, 0.001, true}, {200.0, 199.8, -0.001, false}};
  m.class_words = "no class: two places.";
  m.force_low_n = 100.0;
  m.force_high_n = 200.0;
  m.parts = {{"place", 0.003, 10.0, true}, {"reference", 0.0003, {}, false}};
  m.standard_u = 0.00301;
  m.dof = 10.1;
  m.k = 2.228;
  m.expanded_u95 = 0.0067;
  return m;
}

std::string Checked(const CertificateModel& model) {
  std::string html = CertificateHtml(model);
  EXPECT_EQ(ReadMarkup(html).error, "");
  return html;
}

TEST(CertificateHtml, StatesTheUncertaintyInTheWordsOfTheGum) {
  const std::string html = Checked(Small());
  // JCGM 100:2008, 7.2.4: value of U, k, the distribution and its degrees of
  // freedom, the coverage probability.
  EXPECT_THAT(html, HasSubstr("Uncertainty: U = 0.67 % of the force"));
  EXPECT_THAT(html, HasSubstr("expanded uncertainty U = k u<sub>c</sub>"));
  EXPECT_THAT(html, HasSubstr("u<sub>c</sub> = 0.30 % of the force"));
  EXPECT_THAT(html, HasSubstr("coverage factor k = 2.23"));
  EXPECT_THAT(html,
              HasSubstr("ν<sub>eff</sub> = 10 effective degrees of freedom"));
  EXPECT_THAT(html, HasSubstr("coverage probability of approximately 95 %"));
  EXPECT_THAT(html, HasSubstr("place 0.30 % (A, 10 degrees of freedom), "
                              "reference 0.030 % (B)"));
}

TEST(CertificateHtml, SaysHomemadeUnlessAReferenceIsNamed) {
  CertificateModel model = Small();
  EXPECT_THAT(Checked(model), HasSubstr("Homemade, not accredited"));
  model.reference_certificate = "no. 12 <b>";
  const std::string html = Checked(model);
  EXPECT_THAT(html, Not(HasSubstr("Homemade, not accredited")));
  EXPECT_THAT(html, HasSubstr("Reference: no. 12 &lt;b&gt;"));
  EXPECT_THAT(html, HasSubstr("the work itself is not accredited"));
}

TEST(CertificateHtml, EscapesWhatTheMakerTyped) {
  const std::string html = Checked(Small());
  EXPECT_THAT(html, HasSubstr("Test &lt;sleeve&gt;"));
  EXPECT_THAT(html, Not(HasSubstr("<sleeve>")));
}

TEST(CertificateHtml, CountsWhatDoesNotFitOnOneSheet) {
  CertificateModel model = report::FullCertificate();
  model.places[23].rms = 0.5;
  model.places[23].x_mm = 77.0;
  const std::string html = Checked(model);
  EXPECT_THAT(html, HasSubstr("Loads (8 of 14)"));
  EXPECT_THAT(html, HasSubstr(">98.1<"));    // the smallest
  EXPECT_THAT(html, HasSubstr(">1373.4<"));  // and the largest
  EXPECT_THAT(html, HasSubstr("Places (the worst 11 of 24)"));
  EXPECT_THAT(html, HasSubstr(">77<"));
  EXPECT_THAT(html, HasSubstr("6 further warnings"));
}

TEST(CertificateHtml, NeedsNothingFromOutside) {
  const std::string html = Checked(Small());
  EXPECT_THAT(html, HasSubstr("default-src &#39;none&#39;"));
  EXPECT_THAT(html, Not(HasSubstr("src=")));
  EXPECT_THAT(html, Not(HasSubstr("href=")));
  EXPECT_THAT(html, Not(HasSubstr("url(")));
  EXPECT_THAT(html, Not(HasSubstr("<script")));
}

TEST(CertificateHtml, OneChannelShowsItsCurveAndNoMap) {
  CertificateModel model = Small();
  model.places.resize(1);
  model.curve = {{0.0, 0.0}, {100.0, 5000.0}, {200.0, 10010.0}};
  model.shown_axis = "c1 (count)";
  const std::string html = Checked(model);
  EXPECT_THAT(html, HasSubstr("c1 (count)"));
  EXPECT_THAT(html, HasSubstr("class=\"fitted\""));
  EXPECT_THAT(html, Not(HasSubstr("Along the sleeve")));
}

}  // namespace
}  // namespace masseter
