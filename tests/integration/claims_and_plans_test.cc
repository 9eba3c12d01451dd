// claim, agree, bodymass, season and plan as a user runs them.
#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

void ExpectRefused(const std::vector<std::string>& call,
                   const std::string& says) {
  const Said said = Masseter(call);
  EXPECT_EQ(said.exit, 2) << said.out;
  EXPECT_EQ(said.out, "");
  EXPECT_EQ(std::count(said.err.begin(), said.err.end(), '\n'), 1) << said.err;
  EXPECT_NE(said.err.find(says), std::string::npos) << said.err;
}

TEST(Claim, RefusesNonsenseInOneLine) {
  ExpectRefused({"claim", "--pressure", "450 psi", "--area", "-1 cm2"},
                "must be above zero");
  ExpectRefused({"claim", "--force", "450 psi"}, "unit of pressure");
  ExpectRefused({"claim", "--pressure", "743 N", "--area", "1 cm2"},
                "unit of force");
  ExpectRefused({"claim", "--pressure", "", "--area", "1 cm2"}, "empty");
  ExpectRefused({"claim", "--pressure", "450 psi", "--area", ""}, "empty");
  ExpectRefused({"claim", "--pressure", "nan psi", "--area", "1 cm2"},
                "finite");
  ExpectRefused({"claim"}, "--pressure");
}

TEST(Claim, AnswersAndDraws) {
  const Folder folder;
  const Said said =
      Masseter({"claim", "--pressure", "450 psi", "--area", "1-3 cm2",
                "--measured", "743 N", "-o", folder / "claim.svg", "--json"});
  ASSERT_EQ(said.exit, 0) << said.err;
  EXPECT_NEAR(said.Json()["force_lo_n"].get<double>(), 310.264078, 1e-6);
  EXPECT_NEAR(said.Json()["force_hi_n"].get<double>(), 930.792235, 1e-6);
  EXPECT_EQ(said.Json()["fit"], "fits");
  EXPECT_NE(FileText(folder / "claim.svg").find("<svg xmlns="),
            std::string::npos);
}

TEST(Studies, TakeALogbook) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  ASSERT_EQ(Masseter({"import", book, Example("capture.csv"), "--roster",
                      Example("roster.csv"), "--marks", Example("marks.csv")})
                .exit,
            0);
  const Said claim =
      Masseter({"claim", book, "--pressure", "450 psi", "--json"});
  ASSERT_EQ(claim.exit, 0) << claim.err;
  EXPECT_GT(claim.Json()["measured"]["bites"].get<int>(), 0);
  // Three bites of three dogs: nothing is repeated, and that is said.
  ExpectRefused({"agree", book}, "nothing is repeated");
  ExpectRefused({"season", book, "--dog", "Brisk"}, "two days");
  ExpectRefused({"season", book, "--dog", "Nobody"}, "Nobody");
  ExpectRefused({"agree", book, "--table", "x.csv"}, "one of the two");
}

TEST(Plan, PrintsASheetWithEveryTurn) {
  const Folder folder;
  const Said said =
      Masseter({"plan", "--dog-mean", "20%", "--dog-sd", "0.4", "--bite-sd",
                "0.25", "--roster", Example("roster.csv"), "-o",
                folder / "plan.html", "--json"});
  ASSERT_EQ(said.exit, 0) << said.err;
  const nlohmann::json j = said.Json();
  EXPECT_EQ(j["dogs"], 3);
  EXPECT_LE(j["promised"].get<double>(), 0.2);
  EXPECT_EQ(j["order"].size(),
            3U * (j["bites_per_dog"].get<std::size_t>() + 1U));
  const std::string html = FileText(folder / "plan.html");
  EXPECT_NE(html.find("Tarn"), std::string::npos);
  EXPECT_NE(html.find("veterinarian"), std::string::npos);
  ExpectRefused({"plan"}, "what the study is to answer");
  ExpectRefused({"plan", "--dog-mean", "10%", "--dogs", "1"}, "dogs must be");
  ExpectRefused({"plan", "--dog-mean", "10%", "--bite-sd", "0"},
                "spreads must be");
}

}  // namespace
}  // namespace masseter::integration
