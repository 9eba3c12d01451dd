#include "report/report_html.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <iterator>
#include <limits>
#include <string>

#include "report/example_model.h"
#include "report/markup_check.h"

namespace masseter {
namespace {

using report::ExampleModel;
using report::Markup;
using report::ReadMarkup;
using report::SmallModel;
using ::testing::HasSubstr;
using ::testing::Not;

// The report of `model` after the strict reader found nothing wrong with it.
std::string Checked(const ReportModel& model) {
  std::string html = ReportHtml(model);
  EXPECT_EQ(ReadMarkup(html).error, "");
  return html;
}

std::size_t CountOf(const std::string& text, const std::string& what) {
  std::size_t count = 0;
  for (std::size_t at = text.find(what); at != std::string::npos;
       at = text.find(what, at + 1)) {
    ++count;
  }
  return count;
}

// To renew the golden file: masseter_report_example --small small.html
TEST(ReportHtml, IsTheGoldenFileForASmallModel) {
  std::ifstream file(
      std::string(MASSETER_SOURCE_DIR) + "/tests/golden/report/small.html",
      std::ios::binary);
  ASSERT_TRUE(file.is_open());
  const std::string golden((std::istreambuf_iterator<char>(file)), {});
  EXPECT_EQ(Checked(SmallModel()), golden);
}

TEST(ReportHtml, IsWellFormedForARichModel) {
  const std::string html = Checked(ExampleModel());
  for (const char* heading :
       {"The day", "The calibration", "The recordings", "The method in a page",
        "What was left out", "What these figures do not mean", "Cautions",
        "Nobody was marked as up"}) {
    EXPECT_THAT(html, HasSubstr(std::string("<h2>") + heading)) << heading;
  }
}

TEST(ReportHtml, PointsToNothingOutsideItself) {
  const std::string html = ReportHtml(ExampleModel());
  for (const char* outside :
       {"http:", "https:", "//", "url(", "@import", "<script", "<link", "<img",
        "src=", "javascript"}) {
    EXPECT_EQ(CountOf(html, outside), 0u) << outside;
  }
  for (const Markup::Element& element : ReadMarkup(html).elements) {
    const auto href = element.attributes.find("href");
    if (href != element.attributes.end()) {
      EXPECT_EQ(href->second.front(), '#');
    }
  }
}

TEST(ReportHtml, LinksOnlyToPlacesThatExist) {
  const Markup markup = ReadMarkup(ReportHtml(ExampleModel()));
  std::vector<std::string> ids;
  for (const auto& element : markup.elements) {
    const auto id = element.attributes.find("id");
    if (id != element.attributes.end()) ids.push_back("#" + id->second);
  }
  for (const auto& element : markup.elements) {
    const auto href = element.attributes.find("href");
    if (href == element.attributes.end()) continue;
    EXPECT_THAT(ids, ::testing::Contains(href->second));
  }
}

TEST(ReportHtml, EscapesWhateverTheUserTyped) {
  const std::string nasty = "<b>&\"'</style><script>x()</script>\x01\xff";
  ReportModel model = ExampleModel();
  model.title = model.made = model.program_version = model.method_version =
      model.logbook = model.rig_name = model.cover = nasty;
  model.calibration->estimator = model.calibration->created = nasty;
  model.calibration->warnings = {nasty};
  model.calibration->relative = {{nasty, 0.01}};
  for (ReportCapture& capture : model.captures) {
    capture.source = capture.created = nasty;
    capture.warnings = {nasty};
  }
  for (ReportDog& dog : model.dogs) {
    if (!dog.name.empty()) dog.name = nasty;
    dog.breed = nasty;
    for (ReportBite& entry : dog.bites) {
      for (Reason& reason : entry.bite.reasons) reason.text = nasty;
      for (BudgetLine& line : entry.bite.budget) line.term = nasty;
    }
  }
  const std::string html = Checked(model);
  EXPECT_THAT(html, Not(HasSubstr("<b>&")));
  EXPECT_THAT(html, Not(HasSubstr("<script")));
  EXPECT_EQ(CountOf(html, "</style>"), 1u);
  EXPECT_THAT(html, HasSubstr("&lt;b&gt;&amp;&quot;&#39;"));
}

TEST(ReportHtml, NeverShowsAPeakWithoutItsUncertainty) {
  const std::string html = Checked(ExampleModel());
  EXPECT_THAT(html, HasSubstr("743.1 ± 6.2 N"));
  EXPECT_THAT(html, HasSubstr("≥ 801 N"));
  for (const char* pressure : {"psi", "kPa", "MPa", "bar)"}) {
    EXPECT_THAT(html, Not(HasSubstr(pressure)));
  }
}

TEST(ReportHtml, SaysPlainlyThatThereIsNoCalibration) {
  ReportModel model = ExampleModel();
  model.calibration.reset();
  const std::string html = Checked(model);
  EXPECT_THAT(html, HasSubstr("There is no calibration."));
  EXPECT_THAT(html, HasSubstr("Not shown: the sleeve has no calibration."));
  EXPECT_THAT(html, Not(HasSubstr("class=\"range\"")));
}

TEST(ReportHtml, StandsAModelWithNothingInIt) {
  const std::string html = Checked(ReportModel());
  EXPECT_THAT(html, HasSubstr("No bite was found in what was recorded."));
  EXPECT_THAT(html, HasSubstr("Nothing was recorded."));
  EXPECT_THAT(html, HasSubstr("There is nothing to be sure of."));
}

TEST(ReportHtml, ListsEveryVoidBiteAndGivesNoneAFigure) {
  ReportModel model = ExampleModel();
  for (ReportDog& dog : model.dogs) {
    for (ReportBite& entry : dog.bites) entry.bite.verdict = Verdict::kVoid;
  }
  const std::string html = Checked(model);
  EXPECT_THAT(html, HasSubstr("11 of 11 bites are void"));
  EXPECT_THAT(html, HasSubstr("No bite has a figure with an interval."));
  EXPECT_THAT(html, Not(HasSubstr("743.1")));
  EXPECT_THAT(html, Not(HasSubstr("≥ 8")));
}

TEST(ReportHtml, StandsTwoHundredBitesAndLongNames) {
  ReportModel model = SmallModel();
  const ReportBite pattern = model.dogs[0].bites[0];
  const std::string name(300, 'W');
  model.dogs.assign(40, ReportDog{name, name, 30.0, {}});
  for (std::int64_t id = 1; id <= 200; ++id) {
    ReportBite entry = pattern;
    entry.bite.id = id;
    model.dogs[static_cast<std::size_t>(id) % 40].bites.push_back(entry);
  }
  const std::string html = Checked(model);
  EXPECT_EQ(CountOf(html, "<article"), 200u);
  // 40 rows need more than one picture of a page's height; each bite is in one.
  EXPECT_GT(CountOf(html, "Peak force of every bite"), 1u);
  EXPECT_LT(html.size(), 2'000'000u);
}

TEST(ReportHtml, StandsFiguresThatAreNotFiniteAndMeasuresThatAreMissing) {
  constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
  constexpr double kInf = std::numeric_limits<double>::infinity();
  ReportModel model = SmallModel();
  Bite& bite = model.dogs[0].bites[0].bite;
  bite.peak_u95_n = kInf;
  bite.squeeze_u95_n = kNan;
  bite.x_mm.reset();
  bite.rise_s.reset();
  bite.shake_hz.reset();
  model.calibration->residuals[0].relative_error = kNan;
  model.calibration->relative[0].second = kInf;
  const std::string html = Checked(model);
  EXPECT_THAT(html, Not(HasSubstr("nan")));
  EXPECT_THAT(html, Not(HasSubstr("\"inf")));
  EXPECT_THAT(html, HasSubstr("743 ± ? N"));
  EXPECT_THAT(html, HasSubstr("not seen"));
}

// Three dogs with figures made up by hand; what the words must then say
// follows from them.
ReportComparison ThreeDogs() {
  ReportComparison c;
  c.means = true;
  c.picture.of = "peak_n";
  c.picture.all_n = 600.0;
  c.picture.dogs = {{"Brisk",
                     {{800.0, Verdict::kSound, false},
                      {790.0, Verdict::kDoubtful, false},
                      {120.0, Verdict::kVoid, false}},
                     790.0,
                     760.0,
                     820.0,
                     795.0,
                     {0.9, 0.1, 0.0}},
                    {"Juno",
                     {{700.0, Verdict::kSound, true}},
                     610.0,
                     540.0,
                     690.0,
                     std::numeric_limits<double>::quiet_NaN(),
                     {0.1, 0.8, 0.1}},
                    {"Quill",
                     {{410.0, Verdict::kSound, false}},
                     420.0,
                     380.0,
                     470.0,
                     410.0,
                     {0.0, 0.1, 0.9}}};
  c.pairs = 3;
  c.told_apart = {{"Brisk", "Quill", 1.88, 1.5, 2.3}};
  c.icc = 0.71;
  c.icc_lo = 0.3;
  c.icc_hi = 0.95;
  c.bites_for_0_9 = 4;
  c.one_bite_ratio = 1.31;
  c.notes = {"With 3 dogs the spread between dogs is barely known."};
  report::MassForcePicture mass;
  mass.dogs = {{"Brisk", 31.0, 790.0, false},
               {"Juno", 28.0, 610.0, false},
               {"Quill", 24.0, 420.0, false}};
  c.mass = mass;
  return c;
}

TEST(ReportHtml, ComparesDogsInWordsAndPictures) {
  ReportModel model = SmallModel();
  model.comparison = ThreeDogs();
  const std::string html = Checked(model);
  EXPECT_THAT(html, HasSubstr("href=\"#compared\""));
  EXPECT_THAT(html, HasSubstr("1 of 3 pairs can be told apart"));
  EXPECT_THAT(html, HasSubstr("Brisk bites harder than Quill, by 88 % (95 % "
                              "50 % to 130 %)."));
  EXPECT_THAT(html, HasSubstr("0.71, 95 % 0.30 to 0.95. The mean of 4 bites "
                              "reaches 0.9."));
  EXPECT_THAT(html, HasSubstr("less than 31 % apart"));
  EXPECT_THAT(html, HasSubstr("760 to 820"));
  EXPECT_THAT(html, HasSubstr("barely known."));
  EXPECT_THAT(html, HasSubstr("Nothing here is a claim about a breed"));
  EXPECT_THAT(html, HasSubstr("rawhide"));
  EXPECT_EQ(CountOf(html, "<figure class=\"study\""), 4u);
  EXPECT_EQ(CountOf(html, "xmlns"), 0u);
  EXPECT_EQ(CountOf(html, "<style"), 1u);
  EXPECT_THAT(html, Not(HasSubstr("nan")));
}

TEST(ReportHtml, ComparesNothingWhereThereIsNoMean) {
  ReportModel model = SmallModel();
  model.comparison = ThreeDogs();
  ReportComparison& c = *model.comparison;
  constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
  c.means = false;
  c.pairs = 0;
  c.told_apart.clear();
  c.icc.reset();
  c.one_bite_ratio.reset();
  c.mass.reset();
  c.picture.all_n = kNan;
  for (report::ComparedDog& dog : c.picture.dogs) {
    dog.mean_n = dog.lo_n = dog.hi_n = dog.own_n = kNan;
    dog.rank_probability.clear();
  }
  const std::string html = Checked(model);
  EXPECT_THAT(html, HasSubstr("There is no mean that could be compared."));
  EXPECT_THAT(html, HasSubstr("≥ 700"));
  EXPECT_EQ(CountOf(html, "<figure class=\"study\""), 1u);
  EXPECT_THAT(html, Not(HasSubstr("can be told apart")));
  EXPECT_THAT(html, Not(HasSubstr("Reliability of one bite")));
  EXPECT_THAT(html, Not(HasSubstr("nan")));
}

TEST(ReportHtml, SaysWhatCannotBeComparedAndEscapesIt) {
  ReportModel model = SmallModel();
  model.comparison = ThreeDogs();
  ReportComparison& c = *model.comparison;
  const std::string nasty = "<b>&\"'</style><script>x()</script>";
  c.told_apart = {{nasty, nasty, 1.2, 1.1, 1.3}};
  c.picture.of = nasty;
  for (report::ComparedDog& dog : c.picture.dogs) dog.name = nasty;
  for (report::MassForceDog& dog : c.mass->dogs) dog.name = nasty;
  c.notes = {nasty};
  EXPECT_THAT(Checked(model), Not(HasSubstr("<script")));
  c = ReportComparison();
  c.notes = {"The dogs could not be compared: so it is."};
  const std::string html = Checked(model);
  EXPECT_THAT(html, HasSubstr("could not be compared: so it is."));
  EXPECT_EQ(CountOf(html, "<figure class=\"study\""), 0u);
}

TEST(ReportHtml, IsTheSameForTheSameModel) {
  EXPECT_EQ(ReportHtml(ExampleModel()), ReportHtml(ExampleModel()));
}

}  // namespace
}  // namespace masseter
