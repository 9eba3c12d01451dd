#include "app/dog_files.h"

#include <gtest/gtest.h>

#include <string>

namespace masseter {
namespace {

std::string RosterError(const std::string& text) {
  const auto roster = ParseRoster(text, "dogs.csv");
  return roster ? "no error" : roster.error().Text();
}
std::string MarksError(const std::string& text) {
  const auto marks = ParseMarks(text, "marks.csv");
  return marks ? "no error" : marks.error().Text();
}

TEST(Roster, BreedAndMassMayBeEmptyOrMissing) {
  const auto r = ParseRoster(
      "\xEF\xBB\xBF"
      "dog,breed,mass_kg\r\n# regulars\r\nBrisk,shepherd,31.5\r\n"
      "Tansy,,\r\n\r\nOrla\r\n",
      "dogs.csv");
  ASSERT_TRUE(r) << r.error().Text();
  ASSERT_EQ(r->size(), 3U);
  EXPECT_EQ((*r)[0], (RosterEntry{"Brisk", "shepherd", 31.5}));
  EXPECT_EQ((*r)[1], (RosterEntry{"Tansy", "", std::nullopt}));
  EXPECT_EQ((*r)[2].dog, "Orla");
}

TEST(Roster, TakesSemicolonsTabsAndQuotes) {
  const auto a = ParseRoster("dog;breed;mass_kg\nBrisk;a, b;30\n", "d");
  const auto b = ParseRoster("dog\tbreed\nBrisk\tmix\n", "d");
  const auto c = ParseRoster("dog,breed\n\"Brisk, \"\"B\"\"\",mix\n", "d");
  ASSERT_TRUE(a && b && c);
  EXPECT_EQ((*a)[0].breed, "a, b");
  EXPECT_EQ((*b)[0].breed, "mix");
  EXPECT_EQ((*c)[0].dog, "Brisk, \"B\"");
}

TEST(Roster, NamesTheLineOfEveryMistake) {
  EXPECT_EQ(RosterError(""), "dogs.csv: is empty");
  EXPECT_EQ(RosterError("name,breed\n"),
            "dogs.csv:1: the header must be dog,breed,mass_kg");
  const std::string h = "dog,breed,mass_kg\n";
  EXPECT_EQ(RosterError(h + ",mix,30\n"), "dogs.csv:2: the dog has no name");
  EXPECT_EQ(RosterError(h + "a,mix,30\n\na,mix,31\n"),
            "dogs.csv:4: the dog \"a\" is listed twice");
  EXPECT_EQ(RosterError(h + "a,mix,3o\n"),
            "dogs.csv:2: mass_kg is not a number: \"3o\"");
  EXPECT_EQ(RosterError(h + "a,mix,-3\n"),
            "dogs.csv:2: mass_kg of a dog must lie between 0 and 150, not -3");
  EXPECT_EQ(RosterError(h + "a,mix,3000\n").substr(0, 20),
            "dogs.csv:2: mass_kg ");
  EXPECT_EQ(RosterError(h + "a,mix,30,5\n"),
            "dogs.csv:2: 4 fields where 3 are expected");
  EXPECT_EQ(RosterError(h + "!out,mix,30\n"),
            "dogs.csv:2: a dog's name cannot begin with \"!\"");
}

TEST(Marks, AreSortedByTime) {
  const auto m = ParseMarks("t_s,dog\n20,Orla\n5.5,Brisk\n20.5,!out\n", "m");
  ASSERT_TRUE(m) << m.error().Text();
  ASSERT_EQ(m->size(), 3U);
  EXPECT_EQ((*m)[0], (Mark{5.5, "Brisk"}));
  EXPECT_EQ((*m)[2], (Mark{20.5, "!out"}));
}

TEST(Marks, NameTheLineOfEveryMistake) {
  EXPECT_EQ(MarksError(""), "marks.csv: is empty");
  EXPECT_EQ(MarksError("dog,t_s\n"), "marks.csv:1: the header must be t_s,dog");
  EXPECT_EQ(MarksError("t_s,dog\nsoon,Brisk\n"),
            "marks.csv:2: t_s is not a number: \"soon\"");
  EXPECT_EQ(MarksError("t_s,dog\ninf,Brisk\n"),
            "marks.csv:2: t_s is not a number: \"inf\"");
  EXPECT_EQ(MarksError("t_s,dog\n1,Brisk\n5,\n"),
            "marks.csv:3: the mark names no dog");
  EXPECT_EQ(MarksError("t_s,dog\n5\n"),
            "marks.csv:2: 1 fields where 2 are expected");
}

TEST(DogUp, IsTheLastDogMarkedAtOrBefore) {
  const std::vector<Mark> marks = {
      {5, "Brisk"}, {9, "!out"}, {10, "!zero"}, {20, "Orla"}};
  EXPECT_EQ(DogUp(marks, 4.9), "");
  EXPECT_EQ(DogUp(marks, 5.0), "Brisk");
  EXPECT_EQ(DogUp(marks, 15.0), "Brisk");  // commands are no dogs
  EXPECT_EQ(DogUp(marks, 20.0), "Orla");
  EXPECT_EQ(DogUp({}, 20.0), "");
}

}  // namespace
}  // namespace masseter
