// `explain` of the example day, as a user reads it and as a script does.
#include <cmath>

#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

std::string ImportedBook(const Folder& folder) {
  const std::string book = CalibratedBook(folder);
  const Said imported =
      Masseter({"import", book, Example("capture.csv"), "--roster",
                Example("roster.csv"), "--marks", Example("marks.csv")});
  EXPECT_EQ(imported.exit, 0) << imported.err;
  return book;
}

TEST(Explain, SaysWhatStandsBehindAFigure) {
  const Folder folder;
  const std::string book = ImportedBook(folder);
  const nlohmann::json bites =
      Masseter({"bites", book, "--json"}).Json()["bites"];
  ASSERT_EQ(bites.size(), 3U);
  for (const auto& listed : bites) {
    const std::string id = std::to_string(listed["id"].get<int>());
    const Said said = Masseter({"explain", book, id, "--json"});
    ASSERT_EQ(said.exit, 0) << said.err;
    const nlohmann::json j = said.Json();
    // The same bite as the list has, figure for figure.
    for (const char* key : {"peak_n", "peak_u95_n", "verdict", "reasons"}) {
      EXPECT_EQ(j["bite"][key], listed[key]) << key;
    }
    // The lines of the budget add up to its sum.
    double squares = 0.0;
    for (const auto& line : j["budget"]["lines"]) {
      const double n = line["contribution_n"];
      squares += n * n;
      EXPECT_NEAR(line["standard_uncertainty"].get<double>() *
                      line["sensitivity_n"].get<double>(),
                  n, 1e-9 * (1.0 + n));
    }
    const double u = j["budget"]["standard_uncertainty_n"];
    EXPECT_NEAR(std::sqrt(squares), u, 1e-9);
    EXPECT_NEAR(j["budget"]["monte_carlo"]["hi_n"].get<double>(),
                j["budget"]["expanded_n"].get<double>(), 0.3 * u);
    EXPECT_EQ(j["evidence"].size(), listed["reasons"].size());
    EXPECT_EQ(j["trace"]["low_n"].size(), j["trace"]["high_n"].size());
    EXPECT_GT(j["sampling"]["needed_rate_hz"].get<double>(), 0.0);
    EXPECT_EQ(j["rests_on"]["calibration"], 1);

    const Said words = Masseter({"explain", book, id});
    ASSERT_EQ(words.exit, 0) << words.err;
    EXPECT_NE(words.out.find("Bite " + id), std::string::npos);
    EXPECT_NE(words.out.find("budget of the peak"), std::string::npos);
    for (const auto& reason : listed["reasons"]) {
      EXPECT_NE(words.out.find(reason["code"].get<std::string>()),
                std::string::npos);
    }
  }
  // The third bite's gap, and the figure without it.
  const nlohmann::json third =
      Masseter({"explain", book, "3", "--json"}).Json();
  ASSERT_FALSE(third["evidence"].empty());
  const auto& gap = third["evidence"][0];
  EXPECT_EQ(gap["code"], "gap");
  ASSERT_TRUE(gap["without"].is_object()) << gap;
  EXPECT_LT(
      gap["without"]["peak_hi_n"].get<double>(),
      third["bite"]["peak_n"].get<double>() + gap["effect_n"].get<double>());
}

TEST(Explain, SaysWhyTwoBitesDiffer) {
  const Folder folder;
  const std::string book = ImportedBook(folder);
  const Said said = Masseter({"explain", book, "1", "2", "--json"});
  ASSERT_EQ(said.exit, 0) << said.err;
  const nlohmann::json j = said.Json();
  EXPECT_NEAR(j["difference_n"].get<double>(),
              j["bites"][0]["peak_n"].get<double>() -
                  j["bites"][1]["peak_n"].get<double>(),
              1e-9);
  double sum = j["dog"]["share_n"];
  for (const auto& share : j["shares"]) sum += share["share_n"].get<double>();
  EXPECT_NEAR(sum, j["as_read_difference_n"].get<double>(), 0.5);
  EXPECT_EQ(j["cause"], "dog");
  const Said words = Masseter({"explain", book, "1", "2"});
  EXPECT_EQ(words.exit, 0) << words.err;
  EXPECT_NE(words.out.find("It is the dogs"), std::string::npos) << words.out;
}

TEST(Explain, RefusesWhatItCannotExplain) {
  const Folder folder;
  const std::string book = ImportedBook(folder);
  const Said none = Masseter({"explain", book, "99"});
  EXPECT_EQ(none.exit, 2);
  EXPECT_NE(none.err.find("masseter bites"), std::string::npos) << none.err;
  EXPECT_EQ(Masseter({"explain", book, "1", "1"}).exit, 2);
  EXPECT_EQ(Masseter({"explain", book, "one"}).exit, 2);
  // Without a calibration a bite is explained, a difference is not.
  const std::string bare = folder / "bare.book";
  EXPECT_EQ(Masseter({"new", bare, "--rig", Example("rig.toml")}).exit, 0);
  EXPECT_EQ(Masseter({"import", bare, Example("capture.csv")}).exit, 0);
  const Said counts = Masseter({"explain", bare, "1", "--json"});
  ASSERT_EQ(counts.exit, 0) << counts.err;
  EXPECT_TRUE(counts.Json()["budget"].is_null());
  EXPECT_EQ(Masseter({"explain", bare, "1"}).exit, 0);
  EXPECT_EQ(Masseter({"explain", bare, "1", "2"}).exit, 2);
}

}  // namespace
}  // namespace masseter::integration
