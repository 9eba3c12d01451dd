#include "app/day_words.h"

#include <gtest/gtest.h>

namespace masseter {
namespace {

// Noon and the next noon of a day in May: apart in every time zone.
constexpr double kToday = 1.7473968e9;
constexpr double kTomorrow = kToday + 86400.0;

DayEntry Entry(std::int64_t id, const std::string& kind,
               const std::string& document, double at = kToday) {
  return {id, kind, at, 1, 2.0, document};
}

TEST(DayWords, ABiteIsStruckOutUntilItIsGivenBack) {
  std::vector<DayEntry> entries = {
      Entry(1, "void", R"({"bite":3,"reason":"slipped"})"),
      Entry(2, "void", R"({"bite":4,"reason":"fell"})"),
      Entry(3, "restore", R"({"bite":3})")};
  const DayWords words = WordsOf(entries, kToday);
  ASSERT_EQ(words.withdrawn.size(), 1U);
  EXPECT_EQ(words.withdrawn.at(4), "fell");
  entries.push_back(Entry(4, "void", R"({"bite":3,"reason":"again"})"));
  EXPECT_EQ(WordsOf(entries, kToday).withdrawn.at(3), "again");
}

TEST(DayWords, AnUndoneEntryWasNeverSaid) {
  const DayWords words = WordsOf(
      {Entry(1, "void", R"({"bite":3,"reason":"slipped"})"),
       Entry(2, "restore", R"({"bite":3})"),
       Entry(3, "note", R"({"dog":"Brisk","bite":null,"text":"rain"})"),
       Entry(4, "undo", R"({"entry":2})"), Entry(5, "undo", R"({"entry":3})")},
      kToday);
  EXPECT_EQ(words.withdrawn.at(3), "slipped");
  EXPECT_TRUE(words.notes.empty());
}

TEST(DayWords, LimitsAndOrderHoldForTheDayOnWhichTheyWereSet) {
  const std::vector<DayEntry> entries = {
      Entry(1, "limit", R"({"dog":"Brisk","bites":6,"minutes":null})"),
      Entry(2, "order", R"({"dogs":["Juno","Brisk"]})"),
      Entry(3, "note", R"({"dog":"Brisk","bite":2,"text":"slipped"})")};
  const DayWords today = WordsOf(entries, kToday);
  EXPECT_EQ(today.limits.at("Brisk").bites, 6);
  EXPECT_EQ(today.limits.at("Brisk").minutes, std::nullopt);
  EXPECT_EQ(today.order, (std::vector<std::string>{"Juno", "Brisk"}));
  const DayWords tomorrow = WordsOf(entries, kTomorrow);
  EXPECT_TRUE(tomorrow.limits.empty());
  EXPECT_TRUE(tomorrow.order.empty());
  ASSERT_EQ(tomorrow.notes.size(), 1U);
  EXPECT_EQ(tomorrow.notes[0].bite, 2);
}

TEST(DayWords, AStageComesBackWithItsItems) {
  const DayWords words = WordsOf(
      {Entry(1, "stage",
             R"({"stage":"before","items":[{"what":"supply","state":"look",)"
             R"("text":"3512 mV","sleeve":1}],"load":null,"anyway":"cold"})")},
      kTomorrow);
  ASSERT_EQ(words.stages.size(), 1U);
  EXPECT_EQ(words.stages[0].stage, "before");
  EXPECT_EQ(words.stages[0].anyway, "cold");
  ASSERT_EQ(words.stages[0].items.size(), 1U);
  EXPECT_EQ(words.stages[0].items[0].state, "look");
  EXPECT_EQ(words.stages[0].items[0].sleeve, 1);
}

TEST(DayWords, AStageIsOneSentence) {
  StageRecord stage{1, kToday, "after", {}, ""};
  EXPECT_NE(StageSentence(stage).find("Checks after the last dog, closed "),
            std::string::npos);
  EXPECT_NE(StageSentence(stage).find(": all ok"), std::string::npos);
  stage.items = {{"link", "look", "", 0},
                 {"link", "look", "", 1},
                 {"supply", "bad", "", 1},
                 {"load", "ok", "20 kg read 195.9 N", 0}};
  stage.anyway = "a short day";
  EXPECT_NE(StageSentence(stage).find(
                ": link to look at, supply bad; check load: 20 kg read "
                "195.9 N; all the same: a short day"),
            std::string::npos)
      << StageSentence(stage);
}

TEST(DayWords, DocumentsThatCannotBeReadSayNothing) {
  for (const char* document : {"", "[]", "{", "{}", R"({"bite":"x"})",
                               R"({"entry":{}})", R"({"dogs":3,"items":7})"}) {
    for (const char* kind : {"note", "void", "restore", "limit", "order",
                             "undo", "stage", "unheard-of"}) {
      const DayWords words = WordsOf({Entry(1, kind, document)}, kToday);
      EXPECT_TRUE(words.withdrawn.empty()) << kind << document;
      EXPECT_TRUE(words.order.empty()) << kind << document;
    }
  }
}

TEST(DayWords, LieOverABiteWithoutTouchingItsFigures) {
  const DayWords words =
      WordsOf({Entry(1, "void", R"({"bite":3,"reason":"slipped"})")}, kToday);
  Bite bite;
  bite.id = 3;
  bite.peak_n = 743.1;
  bite.verdict = Verdict::kDoubtful;
  bite.at_least = true;
  Reason gap;
  gap.text = "46 ms without samples";
  bite.reasons.push_back(gap);
  Bite other = bite;
  other.id = 4;
  LayOver(words, bite);
  EXPECT_EQ(bite.verdict, Verdict::kVoid);
  EXPECT_FALSE(bite.at_least);
  EXPECT_EQ(bite.peak_n, 743.1);
  ASSERT_EQ(bite.reasons.size(), 2U);
  EXPECT_EQ(bite.reasons[0].code, ReasonCode::kWithdrawn);
  EXPECT_EQ(bite.reasons[0].text, "slipped");
  LayOver(words, other);
  EXPECT_EQ(other.verdict, Verdict::kDoubtful);
  EXPECT_EQ(other.reasons.size(), 1U);
}

}  // namespace
}  // namespace masseter
