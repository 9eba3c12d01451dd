// `certificate` through the built program: what it says, what it refuses.
#include <gmock/gmock.h>

#include <cmath>

#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

class Certificate : public ::testing::Test {
 protected:
  Folder folder_;
  std::string book_ = CalibratedBook(folder_);
};

TEST_F(Certificate, IsOnePageOfTheCalibrationThatIsStored) {
  const std::string page = folder_ / "cal.html";
  const Said said = Masseter(
      {"certificate", book_, "-o", page, "--by", "A. <Maker>", "--json"});
  ASSERT_EQ(said.exit, 0) << said.err;
  const nlohmann::json j = said.Json();
  EXPECT_EQ(j.at("calibration").at("calibration"), 1);
  EXPECT_EQ(j.at("accredited"), false);
  EXPECT_TRUE(j.at("reference_certificate").is_null());
  const nlohmann::json u = j.at("uncertainty");
  EXPECT_NEAR(u.at("expanded_u95").get<double>(),
              u.at("k").get<double>() * u.at("standard_u").get<double>(),
              1e-12);
  // The same u_c as in calibrate, which takes 1.96 for k.
  EXPECT_NEAR(1.96 * u.at("standard_u").get<double>(),
              j.at("calibration").at("expanded_relative_u95").get<double>(),
              1e-12);
  int readings = 0;
  for (const auto& load : j.at("loads")) {
    readings += load.at("readings").get<int>();
  }
  int rows = 0;
  for (const auto& place : j.at("calibration").at("position_map")) {
    rows += place.at("rows").get<int>();
  }
  EXPECT_EQ(readings, rows);
  const std::string html = FileText(page);
  EXPECT_THAT(html, HasSubstr("Homemade, not accredited"));
  EXPECT_THAT(html, HasSubstr("9.81225 m/s²"));
  EXPECT_THAT(html, HasSubstr("A. &lt;Maker&gt;"));
  EXPECT_THAT(html, HasSubstr("jute over 12 mm closed-cell foam"));
}

TEST_F(Certificate, NamesTheReferenceAndTheAgeLimit) {
  ASSERT_EQ(Masseter({"check", book_, "--valid-for", "180d"}).exit, 0);
  const Said said = Masseter(
      {"certificate", book_, "-o", "-", "--reference-certificate", "no. 1234"});
  ASSERT_EQ(said.exit, 0) << said.err;
  EXPECT_THAT(said.out, Not(HasSubstr("Homemade, not accredited")));
  EXPECT_THAT(said.out, HasSubstr("Reference: no. 1234"));
  EXPECT_THAT(said.out, HasSubstr("(180 days)"));
}

// One cell in newtons against a transducer.
TEST_F(Certificate, TakesOneCellAndReadingsInNewtons) {
  const std::string rig = folder_.Write(
      "one.toml",
      "[rig]\nname = \"One cell\"\nsample_rate_hz = 80\n[text]\nseparator = "
      "\",\"\ncolumns = [\"t_ms\", \"c1\"]\n[[channel]]\nname = \"c1\"\nunit = "
      "\"N\"\n");
  std::string text = "series,direction,force_n,c1\n";
  for (const char* series : {"1", "2", "3"}) {
    for (const int f : {0, 100, 200, 400, 600, 800, 0}) {
      // Whole newtons: std::to_string would follow the locale.
      const int shown = 2 + f * 101 / 100 + (f == 400 ? series[0] - '2' : 0);
      text += std::string(series) + ",up," + std::to_string(f) + "," +
              std::to_string(shown) + "\n";
    }
  }
  const std::string book = folder_ / "one.book";
  ASSERT_EQ(Masseter({"new", book, "--rig", rig}).exit, 0);
  const Said done = Masseter({"calibrate", book, folder_.Write("one.csv", text),
                              "--transducer-u", "0.1%"});
  ASSERT_EQ(done.exit, 0) << done.err;
  const Said said = Masseter({"certificate", book, "-o", "-"});
  ASSERT_EQ(said.exit, 0) << said.err;
  EXPECT_THAT(said.out, HasSubstr("transducer (stated, k = 2)"));
  EXPECT_THAT(said.out, HasSubstr(">c1 (N)<"));
  EXPECT_THAT(said.out, HasSubstr("this sleeve does not see where"));
  EXPECT_THAT(said.out, Not(HasSubstr("Gravity")));
}

TEST_F(Certificate, RefusesWhatItCannotShow) {
  EXPECT_EQ(Masseter({"certificate", book_}).exit, 2);
  const Said other =
      Masseter({"certificate", book_, "-o", "-", "--calibration", "7"});
  EXPECT_EQ(other.exit, 2);
  EXPECT_THAT(other.err, HasSubstr("there is no calibration 7"));
  const std::string before = FileText(book_);
  EXPECT_EQ(Masseter({"certificate", book_, "-o", book_}).exit, 2);
  EXPECT_EQ(FileText(book_), before);
  const std::string bare = folder_ / "bare.book";
  ASSERT_EQ(Masseter({"new", bare, "--rig", Example("rig.toml")}).exit, 0);
  const Said none = Masseter({"certificate", bare, "-o", "-"});
  EXPECT_EQ(none.exit, 2);
  EXPECT_THAT(none.err, HasSubstr("masseter calibrate"));
}

}  // namespace
}  // namespace masseter::integration
