#include "app/field_day.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

namespace masseter {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;
using ::testing::SizeIs;

constexpr double kNoon = 1.7473968e9;  // of a day in May, UTC

DogToday Of(const std::vector<DogToday>& dogs, const std::string& dog) {
  for (const DogToday& d : dogs) {
    if (d.dog == dog) return d;
  }
  ADD_FAILURE() << dog << " is not there";
  return {};
}

DayWords WithLimit(std::optional<int> bites, std::optional<double> minutes) {
  DayWords words;
  words.limits["Brisk"] = {bites, minutes};
  return words;
}

TEST(SpansOf, ADogIsUpFromItsMarkToTheNextDogs) {
  const auto spans = SpansOf({{10.0, "Brisk"},
                              {12.0, "!out"},
                              {30.0, "Juno"},
                              {40.0, ""},
                              {50.0, "Juno"}},
                             kNoon, 55.0);
  ASSERT_THAT(spans, SizeIs(3));
  EXPECT_EQ(spans[0].dog, "Brisk");
  EXPECT_EQ(spans[0].from_unix_s, kNoon + 10.0);
  EXPECT_EQ(spans[0].to_unix_s, kNoon + 30.0);
  EXPECT_EQ(spans[1].to_unix_s, kNoon + 40.0);  // then nobody
  EXPECT_EQ(spans[2].to_unix_s, kNoon + 55.0);  // still up
}

TEST(SpansOf, AMarkThatTheRecordingHasNotReachedDoesNotCountYet) {
  const auto spans = SpansOf({{10.0, "Brisk"}, {90.0, "Juno"}}, kNoon, 55.0);
  ASSERT_THAT(spans, SizeIs(1));
  EXPECT_EQ(spans[0].to_unix_s, kNoon + 55.0);
}

TEST(TallyDay, ADogOnTwoSleevesIsUpOnce) {
  Today today;
  today.spans = {{"Brisk", kNoon, kNoon + 60.0},
                 {"Brisk", kNoon + 1.0, kNoon + 61.0},
                 {"Juno", kNoon + 61.0, kNoon + 70.0},
                 {"Brisk", kNoon + 100.0, kNoon + 110.0}};
  const auto dogs = TallyDay(today, {"Juno", "Brisk"});
  ASSERT_THAT(dogs, SizeIs(2));
  EXPECT_EQ(dogs[0].dog, "Juno");
  EXPECT_DOUBLE_EQ(Of(dogs, "Brisk").up_s, 71.0);
  EXPECT_DOUBLE_EQ(Of(dogs, "Juno").up_s, 9.0);
}

TEST(TallyDay, ABiteStruckOutCountsApartAndStillEndsTheRest) {
  Today today;
  CountBite("Brisk", kNoon + 5.0, today.bites);
  CountBite("Brisk", kNoon + 9.0, today.bites);
  CountBite("", kNoon + 11.0, today.bites);
  CountBite("Stray", kNoon + 12.0, today.bites);
  today.struck_out["Brisk"] = 1;
  const auto dogs = TallyDay(today, {"Brisk", "Juno"});
  ASSERT_THAT(dogs, SizeIs(3));  // a dog that is not in the order comes last
  EXPECT_EQ(dogs[2].dog, "Stray");
  EXPECT_EQ(Of(dogs, "Brisk").bites, 1);
  EXPECT_EQ(Of(dogs, "Brisk").struck_out, 1);
  EXPECT_EQ(Of(dogs, "Brisk").last_end_unix_s, kNoon + 9.0);
  EXPECT_EQ(Of(dogs, "Juno").last_end_unix_s, std::nullopt);
}

TEST(RunningOrder, NamesEveryDogOfTheRosterOnce) {
  const std::vector<RosterEntry> roster = {
      {"Brisk", "", {}}, {"Juno", "", {}}, {"Tarn", "", {}}};
  DayWords words;
  EXPECT_THAT(RunningOrder(roster, words),
              ElementsAre("Brisk", "Juno", "Tarn"));
  words.order = {"Tarn", "Gone", "Brisk"};
  EXPECT_THAT(RunningOrder(roster, words),
              ElementsAre("Tarn", "Brisk", "Juno"));
}

TEST(LimitsReached, SaysNothingWhereNobodySetALimit) {
  const DogToday brisk{"Brisk", 100, 0, 1e5, {}};
  EXPECT_THAT(LimitsReached({brisk}, {}), IsEmpty());
  EXPECT_THAT(LimitsReached({brisk}, WithLimit({}, {})), IsEmpty());
}

TEST(LimitsReached, CountsEveryBiteThatTheDogMade) {
  const DayWords words = WithLimit(6, {});
  EXPECT_THAT(LimitsReached({{"Brisk", 5, 0, 0.0, {}}}, words), IsEmpty());
  const auto reached = LimitsReached({{"Brisk", 4, 2, 0.0, {}}}, words);
  ASSERT_THAT(reached, SizeIs(1));
  EXPECT_EQ(reached[0].text,
            "Brisk has had 6 bites (2 struck out), the limit set for today.");
  const auto beyond = LimitsReached({{"Brisk", 7, 0, 0.0, {}}}, words);
  ASSERT_THAT(beyond, SizeIs(1));
  EXPECT_EQ(beyond[0].text,
            "Brisk has had 7 bites; the limit set for today is 6.");
  // The same limit, told for each bite anew.
  EXPECT_EQ(beyond[0].key, reached[0].key);
  EXPECT_NE(beyond[0].made, reached[0].made);
}

TEST(LimitsReached, CountsTheMinutesUp) {
  const DayWords words = WithLimit({}, 2.5);
  EXPECT_THAT(LimitsReached({{"Brisk", 0, 0, 149.9, {}}}, words), IsEmpty());
  const auto reached = LimitsReached({{"Brisk", 0, 0, 150.0, {}}}, words);
  ASSERT_THAT(reached, SizeIs(1));
  EXPECT_EQ(reached[0].text,
            "Brisk has been up for 2.5 minutes, the limit set for today.");
  // Not every second anew.
  const auto later = LimitsReached({{"Brisk", 0, 0, 200.0, {}}}, words);
  EXPECT_EQ(later[0].key, reached[0].key);
  EXPECT_EQ(later[0].made, reached[0].made);
}

TEST(DayMessage, HasTodaysNotesNewestFirst) {
  DayWords words;
  words.notes = {{1, kNoon - 2 * 86400.0, "Brisk", {}, "long ago"},
                 {4, kNoon - 60.0, "Brisk", 3, "slipped"},
                 {6, kNoon, "", {}, "rain"}};
  const auto j = nlohmann::json::parse(
      DayMessage({"Brisk"}, TallyDay({}, {"Brisk"}), words, {}, kNoon));
  ASSERT_EQ(j["notes"].size(), 2U);
  EXPECT_EQ(j["notes"][0]["id"], 6);
  EXPECT_TRUE(j["notes"][0]["bite"].is_null());
  EXPECT_EQ(j["notes"][1]["bite"], 3);
  EXPECT_TRUE(j["undo"].is_null());
  EXPECT_TRUE(j["dogs"][0]["limit_bites"].is_null());
}

}  // namespace
}  // namespace masseter
