// The answers of claim, agree, bodymass, season and plan on small tables.
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>

#include "app/agree_answer.h"
#include "app/claim_answer.h"
#include "app/mass_answer.h"
#include "app/plan_answer.h"
#include "app/season_answer.h"
#include "app/study_rows.h"

namespace masseter {
namespace {

class StudyAnswers : public testing::Test {
 protected:
  StudyAnswers() {
    std::string name =
        (std::filesystem::temp_directory_path() / "masseter-XXXXXX").string();
    folder_ = mkdtemp(name.data());
  }
  ~StudyAnswers() override { std::filesystem::remove_all(folder_); }
  std::string Write(const std::string& text) const {
    const std::string path = folder_ + "/t.csv";
    std::ofstream(path) << text;
    return path;
  }
  std::string folder_;
};

// Shrout and Fleiss 1979, table 2, as a long table: ICC(2,1) 0.29.
std::string ShroutFleiss() {
  const int scores[6][4] = {{9, 2, 5, 8}, {6, 1, 3, 2},  {8, 4, 6, 8},
                            {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}};
  std::string text = "dog;helper;force_n\n";
  for (int d = 0; d < 6; ++d) {
    for (int h = 0; h < 4; ++h) {
      text += "D" + std::to_string(d) + ";H" + std::to_string(h) + ";" +
              std::to_string(scores[d][h]) + "\n";
    }
  }
  return text;
}

TEST_F(StudyAnswers, AgreeFindsTheSixFormsInALongTable) {
  AgreeQuestion q;
  q.table = Write(ShroutFleiss());
  q.by = {"helper"};
  const auto a = AnswerAgree(q);
  ASSERT_TRUE(a.has_value()) << a.error().Text();
  const auto j = AgreeJson(*a);
  EXPECT_NEAR(j["reliability"]["icc"][1]["value"].get<double>(), 0.28976377953,
              1e-9);
  EXPECT_NEAR(j["one_way"]["icc"]["value"].get<double>(), 0.16574176840547553,
              1e-9);
  EXPECT_TRUE(j["gauge"].is_null());
  EXPECT_FALSE(j["notes"].empty());
  EXPECT_FALSE(AgreeSvg(*a).has_value());
}

TEST_F(StudyAnswers, AgreeLeavesOutVoidAndIncompleteAndCounts) {
  AgreeQuestion q;
  q.table = Write(
      "dog,sleeve,peak_n,verdict,at_least\n"
      "a,x,500,sound,false\na,y,510,sound,false\n"
      "b,x,600,sound,false\nb,y,590,doubtful,false\n"
      "c,x,400,sound,false\nc,y,420,sound,false\n"
      "d,x,300,sound,false\nd,y,,void,false\n"
      "a,x,9000,sound,true\na,y,505,sound,false\n");
  q.by = {"sleeve"};
  const auto a = AnswerAgree(q);
  ASSERT_TRUE(a.has_value()) << a.error().Text();
  EXPECT_EQ(a->figures.voids, 1U);
  EXPECT_EQ(a->at_least, 1U);
  EXPECT_EQ(a->incomplete, 1U);
  ASSERT_TRUE(a->bland_altman.has_value());
  EXPECT_EQ(a->bland_altman->subjects, 3U);
  EXPECT_TRUE(a->bland_altman->repeated);
  // (500 - 507.5 + 600 - 590 + 400 - 420) / 3
  EXPECT_NEAR(a->bland_altman->mean, -17.5 / 3.0, 1e-9);
  EXPECT_TRUE(AgreeSvg(*a).has_value());
}

TEST_F(StudyAnswers, APercentageWithoutItsSignIsAskedFor) {
  PlanQuestion q;
  q.dog_sd = 0.3;
  q.bite_sd = 0.15;
  q.difference = "20";
  EXPECT_EQ(AnswerPlan(q, {}).error().Text(),
            "--difference: 20 would be 2000 %; write 20%");
}

TEST_F(StudyAnswers, ATableOfTabsMayEndInAnEmptyCell) {
  const auto rows =
      ReadStudyTable(Write("dog\tforce_n\tbreed\nA\t1\t\n# B\n\nC\t2\tmix"));
  ASSERT_TRUE(rows.has_value()) << rows.error().Text();
  EXPECT_EQ(rows->rows, (std::vector<std::vector<std::string>>{
                            {"A", "1", ""}, {"C", "2", "mix"}}));
  EXPECT_EQ(rows->lines, (std::vector<int>{2, 5}));
}

TEST_F(StudyAnswers, ErrorsNameTheLineAndTheColumn) {
  AgreeQuestion q;
  q.table = Write("dog,force_n\na,1\na,x2\n");
  auto a = AnswerAgree(q);
  ASSERT_FALSE(a.has_value());
  EXPECT_EQ(a.error().Text(), "t.csv:3: force_n is not a number: \"x2\"");
  q.table = Write("dog,force_n\na,1\na,2,3\n");
  EXPECT_EQ(AnswerAgree(q).error().where, "t.csv:3");
  q.table = Write("hound,force_n\na,1\n");
  EXPECT_NE(AnswerAgree(q).error().Text().find("no column \"dog\""),
            std::string::npos);
  q.table = Write("");
  EXPECT_FALSE(AnswerAgree(q).has_value());
}

TEST(ClaimAnswer, SaysForceFitAndWhy) {
  const auto a = AnswerClaim({"450 psi", "1.5 cm2", "", "743 N", ""});
  ASSERT_TRUE(a.has_value());
  const auto j = ClaimJson(*a);
  EXPECT_NEAR(j["force_n"].get<double>(), 465.396117, 1e-6);
  EXPECT_EQ(j["fit"], "too_small");
  // 743 N / 3102640.78 Pa, by hand.
  EXPECT_NEAR(j["fit_area_mm2"][0].get<double>(), 239.473, 1e-3);
  EXPECT_NE(ClaimSvg(*a).find("743 N"), std::string::npos);
}

TEST(ClaimAnswer, RefusesClaimsThatAreNone) {
  EXPECT_FALSE(AnswerClaim({"", "", "", "", ""}).has_value());
  EXPECT_FALSE(AnswerClaim({"", "1 cm2", "", "", ""}).has_value());
  EXPECT_FALSE(AnswerClaim({"1 psi", "", "1 N", "", ""}).has_value());
  EXPECT_FALSE(AnswerClaim({"", "1 cm2", "1 N", "", ""}).has_value());
  EXPECT_FALSE(AnswerClaim({"", "", "450 psi", "", ""}).has_value());
  EXPECT_FALSE(AnswerClaim({"743 N", "1 cm2", "", "", ""}).has_value());
}

TEST_F(StudyAnswers, BodymassCountsEveryDogOnce) {
  MassQuestion q;
  q.table = Write(
      "dog,mass_kg,force_n\na,20,200\na,20,800\nb,30,500\nc,40,600\nd,50,"
      "900\n");
  const auto a = AnswerMass(q);
  ASSERT_TRUE(a.has_value()) << a.error().Text();
  EXPECT_EQ(a->dogs.size(), 4U);
  for (const MassDog& d : a->dogs) {
    if (d.name == "a") {
      EXPECT_NEAR(d.point.force, 400.0, 1e-9);
    }
  }
  EXPECT_FALSE(MassJson(*a)["published"].empty());
  EXPECT_NE(MassSvg(*a).find("body mass, kg"), std::string::npos);
  q.table = Write("dog,mass_kg,force_n\na,20,200\na,21,200\n");
  EXPECT_NE(AnswerMass(q).error().Text().find("two masses"), std::string::npos);
}

TEST_F(StudyAnswers, SeasonSendsAFallToTheVeterinarian) {
  SeasonQuestion q;
  q.table = Write(
      "day,dog,force_n\n"
      "2026-03-01,Brisk,500\n2026-03-01,Brisk,520\n"
      "2026-03-15,Brisk,510\n2026-03-15,Brisk,530\n"
      "2026-04-01,Brisk,495\n2026-04-01,Brisk,515\n"
      "2026-04-15,Brisk,505\n2026-04-15,Brisk,525\n"
      "2026-05-01,Brisk,300\n2026-05-01,Brisk,310\n"
      "2026-05-01,Tarn,900\n");
  q.dog = "Brisk";
  const auto a = AnswerSeason(q);
  ASSERT_TRUE(a.has_value()) << a.error().Text();
  EXPECT_TRUE(a->season.latest_is_a_fall);
  bool mouth = false;
  for (const std::string& w : a->words) {
    mouth = mouth || w.find("Have the mouth looked at") != std::string::npos;
  }
  EXPECT_TRUE(mouth);
  q.dog = "";
  EXPECT_NE(AnswerSeason(q).error().Text().find("--dog"), std::string::npos);
}

TEST(SeasonAnswer, ReadsDays) {
  EXPECT_EQ(ParseDay("1970-01-02"), 1.0);
  EXPECT_EQ(ParseDay("2026-05-16 14:07"), 20589.0);
  EXPECT_EQ(ParseDay("12"), 12.0);
  EXPECT_FALSE(ParseDay("2026-02-30").has_value());
  EXPECT_FALSE(ParseDay("16.5.2026").has_value());
}

TEST_F(StudyAnswers, PlanTakesItsSpreadsFromATable) {
  std::string text = "dog,peak_n\n";
  const double bites[] = {-0.2, 0.2, -0.1, 0.1};
  for (int d = 0; d < 6; ++d) {
    for (const double b : bites) {
      // Whole thousandths, which no locale writes differently: the spreads are
      // of logarithms.
      const long peak = std::lround(1000.0 * std::exp(6.0 + 0.3 * d + b));
      text += "d" + std::to_string(d) + "," + std::to_string(peak) + "\n";
    }
  }
  PlanQuestion q;
  q.table = Write(text);
  q.dog_mean = "15%";
  const auto a = AnswerPlan(q, {});
  ASSERT_TRUE(a.has_value()) << a.error().Text();
  EXPECT_FALSE(a->prior.assumed);
  // sqrt(0.1 / 3), by hand
  EXPECT_NEAR(a->prior.prior.bite_sd, 0.18257, 1e-4);
  EXPECT_LE(a->plan.chosen.promised, 0.15);
  EXPECT_GE(a->cautious->bites, a->plan.chosen.bites);
  const std::string html = PlanHtml(*a);
  EXPECT_NE(html.find("veterinarian"), std::string::npos);
  EXPECT_NE(html.find("size:A4"), std::string::npos);
  const auto j = PlanJson(*a);
  EXPECT_EQ(j["order"].size(), a->order.turns.size());
}

TEST(PlanAnswer, AsksForExactlyOneQuestion) {
  PlanQuestion q;
  EXPECT_FALSE(AnswerPlan(q, {}).has_value());
  q.dog_mean = "10%";
  q.reliability = "0.9";
  EXPECT_FALSE(AnswerPlan(q, {}).has_value());
  q.reliability = "";
  q.dog_mean = "ten";
  EXPECT_FALSE(AnswerPlan(q, {}).has_value());
  q.dog_mean = "nan";
  EXPECT_FALSE(AnswerPlan(q, {}).has_value());
  q.dog_mean = "20%";
  const auto a = AnswerPlan(q, {});
  ASSERT_TRUE(a.has_value()) << a.error().Text();
  EXPECT_TRUE(a->prior.assumed);
}

}  // namespace
}  // namespace masseter
