// `compare` as a user runs it, against lme4 1.1-31 (R 4.2.2, bobyqa to 1e-11)
// on a made-up unbalanced table: 25 dogs of three breeds, 1 to 12 bites each.
#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

std::string Table() {
  return MASSETER_SOURCE_DIR "/tests/reference/data/unbalanced_breeds.csv";
}

// What the acceptance of the command asks for: 1e-4; both stop far closer.
void ExpectClose(const nlohmann::json& is, double want) {
  EXPECT_NEAR(is.get<double>(), want, 1e-5 * std::fabs(want));
}

TEST(Compare, GivesWhatLme4Gives) {
  const Said said = Masseter({"compare", "--table", Table(), "--response",
                              "log", "--fixed", "breed", "--json"});
  ASSERT_EQ(said.exit, 0) << said.err;
  const nlohmann::json j = said.Json();
  ExpectClose(j["components"]["dog"], 0.0736881245527248);
  ExpectClose(j["components"]["residual"], 0.0331036276360133);
  ExpectClose(j["model"]["reml"], -27.7884801590894);
  ExpectClose(j["model"]["ml"], -36.378117821591);
  ExpectClose(j["model"]["fixed"]["(Intercept)"], 6.2993719130255474);
  ExpectClose(j["model"]["fixed"]["breedGerman Shepherd"], -0.0256524836338197);
  ExpectClose(j["model"]["fixed"]["breedMalinois"], -0.0767114483334322);
  ExpectClose(j["icc"]["value"], 0.0736881245527248 / 0.1067917521887381);
  EXPECT_EQ(j["dogs"].size(), 25U);
  EXPECT_EQ(j["breeds"].size(), 3U);
  EXPECT_EQ(j["pairs"].size(), 25U * 24U / 2U);
}

TEST(Compare, GivesWhatLme4GivesWithHelpersAtRandom) {
  const Said said = Masseter({"compare", "--table", Table(), "--response",
                              "linear", "--fixed", "breed,mass_kg,order",
                              "--random", "helper", "--json"});
  ASSERT_EQ(said.exit, 0) << said.err;
  const nlohmann::json j = said.Json();
  ExpectClose(j["components"]["dog"], 18236.8204758291);
  ExpectClose(j["components"]["helper"], 1309.4936796686);
  ExpectClose(j["components"]["residual"], 10756.8689781198);
  ExpectClose(j["model"]["reml"], 2143.81123768342);
  ExpectClose(j["model"]["fixed"]["(Intercept)"], -55.02655280716913);
  ExpectClose(j["model"]["fixed"]["mass_kg"], 16.75638177049091);
  ExpectClose(j["model"]["fixed"]["order"], 2.19860635402042);
}

TEST(Compare, SpeaksToPeopleAndDraws) {
  const Folder folder;
  const Said said = Masseter(
      {"compare", "--table", Table(), "--pictures", folder / "pictures"});
  ASSERT_EQ(said.exit, 0) << said.err;
  for (const std::string name : {"bites", "means", "ranks"}) {
    const std::string svg = FileText(folder / ("pictures/" + name + ".svg"));
    EXPECT_NE(svg.find("dog13"), std::string::npos) << name;
  }
  EXPECT_NE(said.out.find("Reliability of one bite"), std::string::npos);
  EXPECT_NE(said.out.find("pairs can be told apart"), std::string::npos);
}

}  // namespace
}  // namespace masseter::integration
