// The report's dogs beside each other: honest where there is little to say.
#include "app/report_comparison.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <fstream>

#include "app/compare_answer.h"

namespace masseter {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;

class ComparedInTheReport : public testing::Test {
 protected:
  ComparedInTheReport() {
    std::string name =
        (std::filesystem::temp_directory_path() / "masseter-XXXXXX").string();
    folder_ = mkdtemp(name.data());
  }
  ~ComparedInTheReport() override { std::filesystem::remove_all(folder_); }

  ReportComparison Of(const std::string& table) {
    CompareQuestion question;
    question.table = folder_ + "/t.csv";
    std::ofstream(question.table) << table;
    const auto answer = AnswerCompare(question);
    EXPECT_TRUE(answer) << answer.error().Text();
    return answer ? ReportComparisonOf(*answer) : ReportComparison();
  }

  std::string folder_;
};

// Two groups of bites that lie ten times their scatter apart: whatever the
// method, the harder dog is told from the others.
TEST_F(ComparedInTheReport, TellsPairsAsRatiosOfForces) {
  const ReportComparison c =
      Of("dog,peak_n,verdict\na,990,sound\na,1000,sound\na,1010,doubtful\n"
         "a,3000,void\nb,495,sound\nb,500,sound\nb,505,sound\n"
         "c,496,sound\nc,500,sound\nc,504,sound\n");
  EXPECT_TRUE(c.means);
  EXPECT_EQ(c.pairs, 3U);
  ASSERT_EQ(c.told_apart.size(), 2U);
  for (const ReportPair& p : c.told_apart) {
    EXPECT_EQ(p.stronger, "a");
    // 1000 N against 500 N; the means are drawn together by less than 1 %.
    EXPECT_NEAR(p.ratio, 2.0, 0.03);
    EXPECT_LT(p.lo, p.ratio);
    EXPECT_GT(p.hi, p.ratio);
  }
  ASSERT_EQ(c.picture.dogs.size(), 3U);
  EXPECT_EQ(c.picture.dogs[0].bites.size(), 4U);  // the void one is drawn
  ASSERT_TRUE(c.icc && c.one_bite_ratio);
  EXPECT_GT(*c.icc, 0.9);
  EXPECT_GT(*c.one_bite_ratio, 1.0);
  EXPECT_FALSE(c.mass);
}

TEST_F(ComparedInTheReport, ClaimsNothingFromOneBiteOfEachDog) {
  const ReportComparison c = Of("dog,peak_n\na,500\nb,600\nc,450\n");
  EXPECT_FALSE(c.means);
  EXPECT_EQ(c.pairs, 0U);
  EXPECT_FALSE(c.icc);
  EXPECT_FALSE(c.one_bite_ratio);
  EXPECT_THAT(c.notes, Contains(HasSubstr("cannot be told apart")));
}

TEST_F(ComparedInTheReport, GivesNoMeanToLowerBoundsAlone) {
  const ReportComparison c =
      Of("dog,peak_n,at_least\na,500,true\na,520,true\nb,600,true\n");
  EXPECT_FALSE(c.means);
  ASSERT_EQ(c.picture.dogs.size(), 2U);
  for (const report::ComparedDog& dog : c.picture.dogs) {
    EXPECT_TRUE(std::isnan(dog.mean_n));
    EXPECT_TRUE(std::isnan(dog.lo_n));
  }
  EXPECT_THAT(c.notes, Contains(HasSubstr("known only from below")));
}

// The same bites from every dog: nothing between them to see.
TEST_F(ComparedInTheReport, SaysThatDogsDifferNoMoreThanTheirBites) {
  const ReportComparison c =
      Of("dog,peak_n\na,500\na,600\nb,500\nb,600\nc,500\nc,600\n");
  EXPECT_TRUE(c.means);
  EXPECT_EQ(c.pairs, 3U);
  EXPECT_TRUE(c.told_apart.empty());
  EXPECT_THAT(c.notes, Contains(HasSubstr("estimated as 0")));
}

TEST(ComparisonOfABook, IsNotMadeForASingleDogWithFigures) {
  ReportBite sound;
  sound.bite.verdict = Verdict::kSound;
  sound.bite.peak_n = 500.0;
  ReportBite none;
  none.bite.verdict = Verdict::kVoid;
  none.bite.peak_n = 500.0;
  EXPECT_FALSE(ComparisonOf(
      "no.book",
      {{"a", "", {}, {sound}}, {"b", "", {}, {none}}, {"", "", {}, {sound}}}));
}

TEST(ComparisonOfABook, SaysWhatWentWrongWithTwo) {
  ReportBite sound;
  sound.bite.verdict = Verdict::kSound;
  sound.bite.peak_n = 500.0;
  const auto c =
      ComparisonOf("no.book", {{"a", "", {}, {sound}}, {"b", "", {}, {sound}}});
  ASSERT_TRUE(c);
  EXPECT_TRUE(c->picture.dogs.empty());
  EXPECT_THAT(c->notes, Contains(HasSubstr("could not be compared")));
}

}  // namespace
}  // namespace masseter
