// `compare` on small tables: the figures, and honest answers where there is
// little to say.
#include "app/compare_answer.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>

namespace masseter {
namespace {

class Compare : public testing::Test {
 protected:
  Compare() {
    std::string name =
        (std::filesystem::temp_directory_path() / "masseter-XXXXXX").string();
    folder_ = mkdtemp(name.data());
  }
  ~Compare() override { std::filesystem::remove_all(folder_); }

  nlohmann::json Ask(const std::string& table, CompareQuestion q = {}) {
    q.table = folder_ + "/t.csv";
    std::ofstream(q.table) << table;
    const auto a = AnswerCompare(q);
    if (!a) return {{"error", a.error().Text()}};
    return CompareJson(*a);
  }

  static bool Notes(const nlohmann::json& j, const std::string& code) {
    return std::any_of(j["notes"].begin(), j["notes"].end(),
                       [&](const auto& n) { return n["code"] == code; });
  }

  std::string folder_;
};

// Balanced: the components are those of the analysis of variance. Means 500,
// 600 and 700, each with bites 20 N to either side: within 2 * 20^2 a dog over
// one degree of freedom each, between 2 * 100^2.
TEST_F(Compare, GivesTheComponentsOfABalancedTable) {
  CompareQuestion q;
  q.log = false;
  const auto j =
      Ask("dog,peak_n\na,480\na,520\nb,580\nb,620\nc,680\nc,720\n", q);
  EXPECT_NEAR(j["components"]["residual"].get<double>(), 800.0, 1e-6);
  EXPECT_NEAR(j["components"]["dog"].get<double>(), (20000.0 - 800.0) / 2.0,
              1e-4);
  EXPECT_NEAR(j["model"]["fixed"]["(Intercept)"].get<double>(), 600.0, 1e-9);
  EXPECT_EQ(j["dogs"][0]["dog"], "c");
  EXPECT_EQ(j["dogs"][0]["bites"], 2);
  // Shrunken by 19200 / 20000 towards the mean.
  EXPECT_NEAR(j["dogs"][0]["mean_n"].get<double>(), 600.0 + 0.96 * 100.0, 1e-6);
  EXPECT_LT(j["dogs"][0]["lo_n"].get<double>(), 696.0);
  EXPECT_GT(j["dogs"][0]["hi_n"].get<double>(), 696.0);
  EXPECT_EQ(j["pairs"].size(), 3U);
  EXPECT_TRUE(j["breeds"].empty());
}

TEST_F(Compare, CountsWhatItLeavesOut) {
  const auto j = Ask(
      "dog,peak_n,verdict\na,480,sound\na,520,doubtful\na,9999,void\nb,,sound\n"
      "b,580,sound\nb,610,sound\n,500,sound\n");
  EXPECT_EQ(j["model"]["values"], 4);
  EXPECT_EQ(j["left_out"]["void"], 1);
  EXPECT_EQ(j["left_out"]["no_value"], 1);
  EXPECT_EQ(j["left_out"]["no_name"], 1);
}

TEST_F(Compare, AnswersOneBiteOfEachDog) {
  const auto j = Ask("dog,peak_n\na,500\nb,600\nc,450\n");
  EXPECT_TRUE(Notes(j, "one_bite_each"));
  EXPECT_TRUE(j["icc"]["value"].is_null());
  EXPECT_TRUE(j["components"]["dog"].is_null());
  EXPECT_NEAR(j["dogs"][0]["mean_n"].get<double>(), 600.0, 1e-9);
  EXPECT_TRUE(j["dogs"][0]["lo_n"].is_null());
}

TEST_F(Compare, GivesNoMeanToASingleLowerBound) {
  const auto j = Ask("dog,peak_n,at_least\na,500,\nb,600,\nc,650,true\n");
  EXPECT_TRUE(Notes(j, "one_bite_each"));
  EXPECT_EQ(j["dogs"][0]["dog"], "c");
  EXPECT_TRUE(j["dogs"][0]["mean_n"].is_null());
  EXPECT_EQ(j["dogs"][0]["at_least_n"], 650.0);
}

// One full bite of each dog and bounds beside: the bounds repeat nothing.
TEST_F(Compare, DoesNotTakeALowerBoundForARepeat) {
  const auto j =
      Ask("dog,peak_n,at_least\na,570,\nb,500,\nb,418,true\nc,459,true\n");
  EXPECT_TRUE(Notes(j, "one_bite_each"));
  EXPECT_TRUE(j["icc"]["value"].is_null());
  for (const auto& dog : j["dogs"]) EXPECT_TRUE(dog["lo_n"].is_null());
}

// All bites of breed Y are bounds: its difference has no upper end.
TEST_F(Compare, LeavesOutATermOfWhichOnlyLowerBoundsTell) {
  CompareQuestion q;
  q.fixed = {"breed"};
  const auto j =
      Ask("dog,breed,peak_n,at_least\na,X,500,\na,X,540,\nb,X,610,\nb,X,590,\n"
          "c,Y,700,true\nc,Y,650,true\nd,X,480,\nd,X,495,true\n",
          q);
  EXPECT_TRUE(Notes(j, "only_at_least"));
  EXPECT_EQ(j["model"]["fixed"].size(), 1U);
  for (const auto& dog : j["dogs"]) {
    EXPECT_TRUE(dog["hi_n"].is_number()) << dog;
  }
}

// The mean of ln and Student's t with 2 degrees of freedom, by hand.
TEST_F(Compare, AnswersASingleDog) {
  const auto j = Ask("dog,peak_n\na,500\na,600\na,450\n");
  EXPECT_TRUE(Notes(j, "one_dog"));
  const double mean = std::cbrt(500.0 * 600.0 * 450.0);
  EXPECT_NEAR(j["dogs"][0]["mean_n"].get<double>(), mean, 1e-9);
  double square = 0.0;
  for (const double f : {500.0, 600.0, 450.0}) {
    square += std::pow(std::log(f / mean), 2.0);
  }
  const double reach = 4.30265273 * std::sqrt(square / 2.0 / 3.0);
  EXPECT_NEAR(j["dogs"][0]["hi_n"].get<double>(), mean * std::exp(reach), 1e-4);
  EXPECT_TRUE(j["pairs"].empty());
}

TEST_F(Compare, LeavesOutABreedOfOneDogEach) {
  CompareQuestion q;
  q.fixed = {"breed"};
  const auto j =
      Ask("dog,breed,peak_n\na,X,500\na,X,520\nb,Y,600\nb,Y,640\nc,Z,450\n"
          "c,Z,430\n",
          q);
  EXPECT_TRUE(Notes(j, "term_is_dog"));
  EXPECT_TRUE(j["breeds"].empty());
  EXPECT_EQ(j["dogs"].size(), 3U);
  EXPECT_EQ(j["model"]["fixed"].size(), 1U);
}

TEST_F(Compare, MakesNoClaimAboutABreedOfTwoDogs) {
  CompareQuestion q;
  q.fixed = {"breed"};
  const auto j = Ask(
      "dog,breed,peak_n\na,X,500\na,X,505\nb,Y,900\nb,Y,905\nc,X,510\nc,X,512\n"
      "d,Y,899\nd,Y,910\n",
      q);
  EXPECT_TRUE(Notes(j, "no_breed_claim"));
  EXPECT_FALSE(j["breed_pairs"][0]["told_apart"].get<bool>());
  EXPECT_GT(j["dogs_per_breed_to_tell"].get<int>(), 0);
}

TEST_F(Compare, SaysOnlyAtLeastOfNothingButLowerBounds) {
  const auto j =
      Ask("dog,peak_n,at_least\na,500,true\na,520,true\nb,600,true\n");
  EXPECT_TRUE(Notes(j, "all_at_least"));
  EXPECT_TRUE(j["dogs"][0]["mean_n"].is_null());
  EXPECT_EQ(j["dogs"][0]["dog"], "b");
  EXPECT_EQ(j["dogs"][0]["at_least_n"], 600.0);
}

std::string WithBounds() {
  return "dog,peak_n,at_least,day\na,500,true,1\na,520,,2\na,515,,3\n"
         "b,600,,1\nb,640,,2\nb,590,,3\nc,450,true,1\nc,470,true,2\n"
         "d,540,,1\nd,560,,2\nd,520,,3\n";
}

TEST_F(Compare, TakesLowerBoundsForWhatTheyAre) {
  const auto j = Ask(WithBounds());
  EXPECT_EQ(j["model"]["method"], "ML, lower bounds integrated");
  EXPECT_TRUE(Notes(j, "at_least"));
  for (const auto& dog : j["dogs"]) {
    ASSERT_TRUE(dog["mean_n"].is_number()) << dog;
    EXPECT_LT(dog["lo_n"].get<double>(), dog["mean_n"].get<double>());
    EXPECT_GT(dog["hi_n"].get<double>(), dog["mean_n"].get<double>());
    // Above its bounds, which as values would have had it at 460.
    if (dog["dog"] == "c") {
      EXPECT_GT(dog["mean_n"].get<double>(), 480.0);
    }
  }
}

// Hardly any scatter and one dog of which only a bound is known: its interval
// is as wide as dogs differ (sd of ln 0.3 or so), not as bites do.
TEST_F(Compare, GivesADogOfBoundsTheSpreadOfDogs) {
  const auto j =
      Ask("dog,peak_n,at_least\na,500,\na,500.1,\nb,700,\nb,700.2,\nc,400,\n"
          "c,400.1,\nd,600,\nd,600.1,\ne,450,true\n");
  for (const auto& dog : j["dogs"]) {
    if (dog["dog"] != "e") continue;
    EXPECT_NEAR(dog["lo_n"].get<double>(), 455.0, 6.0);
    EXPECT_GT(dog["hi_n"].get<double>(), 800.0);
    EXPECT_LT(dog["mean_n"].get<double>(), dog["hi_n"].get<double>());
  }
}

TEST_F(Compare, DrawsWithLowerBoundsAndDays) {
  CompareQuestion q;
  q.random = {"day"};
  const auto j = Ask(WithBounds(), q);
  EXPECT_EQ(j["model"]["method"], "draws");
  EXPECT_TRUE(j["model"]["reml"].is_null());
  EXPECT_GT(j["components"]["dog"].get<double>(), 0.0);
  EXPECT_GT(j["components"]["day"].get<double>(), 0.0);
}

TEST_F(Compare, SaysThatDogsDoNotDiffer) {
  const auto j = Ask("dog,peak_n\na,500\na,510\nb,505\nb,504\nc,499\nc,509\n");
  EXPECT_TRUE(Notes(j, "singular"));
  EXPECT_EQ(j["components"]["dog"], 0.0);
  EXPECT_EQ(j["icc"]["value"], 0.0);
  EXPECT_GT(j["icc"]["hi"].get<double>(), 0.1);
  EXPECT_TRUE(j["icc"]["bites_for_0_9"].is_null());
}

TEST_F(Compare, RefusesInASentence) {
  EXPECT_NE(Ask("dog,peak_n\na,-5\na,510\n")["error"].get<std::string>().find(
                "--response linear"),
            std::string::npos);
  EXPECT_TRUE(
      Ask("dog,peak_n\na,500\na,500\nb,600\nb,600\n").contains("error"));
  EXPECT_TRUE(Ask("dog,peak_n\na,500\n").contains("error"));
  CompareQuestion q;
  q.fixed = {"bred"};
  EXPECT_TRUE(Ask("dog,peak_n\na,500\na,510\n", q).contains("error"));
  q.fixed = {"mass_kg"};
  EXPECT_NE(
      Ask("dog,mass_kg,peak_n\na,30,500\na,30,510\nb,2o,500\n", q)["error"]
          .get<std::string>()
          .find("t.csv:4: mass_kg is not a number: \"2o\""),
      std::string::npos);
}

// What the instrument adds is taken out of the bites' scatter.
TEST_F(Compare, CarriesTheInstrumentsPart) {
  const std::string table =
      "dog,peak_n,u\na,480,39.2\na,520,39.2\nb,580,39.2\nb,620,39.2\n"
      "c,680,39.2\nc,720,39.2\n";
  CompareQuestion q;
  q.log = false;
  q.u95 = "u";
  const auto j = Ask(table, q);
  EXPECT_NEAR(j["components"]["residual"].get<double>(), 800.0 - 400.0, 0.1);
  EXPECT_EQ(j["model"]["instrument"], "u");
  // 28.3 N of scatter in a dog's two bites against 20 N known.
  EXPECT_NEAR(j["dogs"][0]["birge_ratio"].get<double>(), std::sqrt(2.0), 1e-9);
}

}  // namespace
}  // namespace masseter
