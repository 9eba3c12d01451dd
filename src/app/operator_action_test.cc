#include "app/operator_action.h"

#include <gtest/gtest.h>

#include <fstream>
#include <iterator>

namespace masseter {
namespace {

std::string Refusal(const std::string& json) {
  const auto action = ParseAction(json, 2);
  return action ? "" : action.error().Text();
}

TEST(ParseAction, TakesEveryExampleOfTheApi) {
  for (const char* name :
       {"up", "up_sleeve", "out", "out_sleeve", "zero", "zero_sleeve", "dog",
        "order", "limit", "note", "void", "restore", "undo", "checks_open",
        "load", "passed", "passed_anyway"}) {
    std::ifstream file(std::string(MASSETER_SOURCE_DIR) + "/api/" + name +
                       ".json");
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    EXPECT_EQ(Refusal(text), "") << name << ": " << text;
  }
}

TEST(ParseAction, ReadsTheFields) {
  const auto limit = ParseAction(
      R"({"type":"limit","dog":"Fen","bites":6,"minutes":null})", 1);
  ASSERT_TRUE(limit);
  EXPECT_EQ(limit->dog, "Fen");
  EXPECT_EQ(limit->bites, 6);
  EXPECT_EQ(limit->minutes, std::nullopt);
  EXPECT_EQ(limit->sleeve, std::nullopt);
  const auto up = ParseAction(R"({"type":"up","dog":"Fen","sleeve":1})", 2);
  ASSERT_TRUE(up);
  EXPECT_EQ(up->sleeve, 1);
}

TEST(ParseAction, RefusesWhatMakesNoSense) {
  const std::string not_understood = "the action is not understood";
  for (const char* text :
       {"", "[]", "7", "{}", R"({"type":7})", R"({"type":"up","dog":3})",
        R"({"type":"void","bite":"x"})", R"({"type":"void","bite":1.5})",
        R"({"type":"order","dogs":"Fen"})", R"({"type":"order","dogs":[1]})",
        R"({"type":"up","dog":"Fen","sleeve":0.5})",
        R"({"type":"up","dog":"Fen","sleeve":1e300})"}) {
    EXPECT_EQ(Refusal(text), not_understood) << text;
  }
  EXPECT_EQ(Refusal(R"({"type":"fly"})"), "there is no action fly");
  EXPECT_EQ(Refusal(R"({"type":""})"), "there is no action ");
  EXPECT_EQ(Refusal(R"({"type":"up","dog":"Fen","sleeve":2})"),
            "there is no sleeve 3 of 2");
  EXPECT_EQ(Refusal(R"({"type":"up","dog":"Fen","sleeve":-1})"),
            "there is no sleeve 0 of 2");
  EXPECT_NE(Refusal(R"({"type":"up","dog":""})"), "");
  EXPECT_NE(Refusal(R"({"type":"up","dog":"!out"})"), "");
  EXPECT_NE(Refusal(R"({"type":"limit","dog":"Fen","bites":0})"), "");
  EXPECT_NE(Refusal(R"({"type":"limit","dog":"Fen","minutes":-1})"), "");
  EXPECT_NE(Refusal(R"({"type":"order","dogs":[]})"), "");
  EXPECT_NE(Refusal(R"({"type":"order","dogs":["Fen","Fen"]})"), "");
  EXPECT_NE(Refusal(R"({"type":"void","reason":"slipped"})"), "");
  EXPECT_NE(Refusal(R"({"type":"checks","stage":"during"})"), "");
  EXPECT_NE(Refusal(R"({"type":"load"})"), "");
  EXPECT_NE(Refusal(R"({"type":"load","mass_kg":-1})"), "");
}

}  // namespace
}  // namespace masseter
