#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <memory>
#include <sstream>
#include <vector>

#include "pages/api_shape.h"
#include "pages/replay_day.h"

namespace masseter {
namespace {

using Json = nlohmann::json;
const std::string kApi = std::string(MASSETER_SOURCE_DIR) + "/api";

const char* const kExamples[] = {
    "role",          "hello", "trace", "now",  "now_ready", "bite",
    "bite_at_least", "say",   "end",   "done", "refused",   "up",
    "out",           "zero",  "dog"};

// The rows of README.md's tables by type: "| `hello` | when | fields |".
std::map<std::string, std::string> Rows() {
  std::ifstream file(kApi + "/README.md");
  std::map<std::string, std::string> rows;
  for (std::string line; std::getline(file, line);) {
    if (line.substr(0, 3) != "| `") continue;
    rows[line.substr(3, line.find('`', 3) - 3)] = line;
  }
  return rows;
}

// Every key of `json`, at any depth but inside a measured bite.
void CollectKeys(const Json& json, std::vector<std::string>& keys) {
  if (json.is_array()) {
    for (const Json& element : json) CollectKeys(element, keys);
  }
  if (!json.is_object()) return;
  for (const auto& [key, value] : json.items()) {
    keys.push_back(key);
    if (!value.is_object() || !value.contains("verdict")) {
      CollectKeys(value, keys);
    }
  }
}

TEST(ApiExamples, AreJsonAndNameTheirType) {
  for (const std::string name : kExamples) {
    const Json golden = GoldenMessage(kApi, name);
    ASSERT_TRUE(golden.is_object()) << name;
    EXPECT_EQ(golden["type"], name.substr(0, name.find('_'))) << name;
  }
}

TEST(ApiExamples, CoverEveryTypeOfTheReadme) {
  const auto rows = Rows();
  EXPECT_EQ(rows.size(), 11U);
  for (const auto& [type, row] : rows) {
    EXPECT_TRUE(GoldenMessage(kApi, type).is_object()) << type;
  }
}

TEST(ApiExamples, HaveNoFieldThatTheReadmeDoesNotName) {
  const auto rows = Rows();
  for (const std::string name : kExamples) {
    const Json golden = GoldenMessage(kApi, name);
    const auto row = rows.find(golden["type"].get<std::string>());
    if (row == rows.end()) continue;  // the answers stand in a sentence
    std::vector<std::string> keys;
    CollectKeys(golden, keys);
    for (const std::string& key : keys) {
      if (key == "type") continue;
      EXPECT_NE(row->second.find("`" + key + "`"), std::string::npos)
          << name << ": " << key;
    }
  }
}

// Names between backticks in the fields' column that are words, not values,
// must be in the example: `t_s` is a field, `ok` after its colon a value.
TEST(ApiExamples, HaveTheFieldsThatTheReadmeNames) {
  const std::map<std::string, std::vector<std::string>> fields = {
      {"hello",
       {"rig", "calibrated", "force_range_n", "roster", "up", "source",
        "trace_span_s", "version"}},
      {"trace", {"whole", "start_s", "column_s", "low_n", "high_n"}},
      {"now", {"t_s", "force_n", "state", "up", "bites_up", "lights", "bite"}},
      {"bite", {"bite", "squeeze_u95_n", "spark", "clock"}},
      {"say", {"level", "text"}},
      {"end", {"text"}},
      {"role", {"role"}},
      {"up", {"dog"}},
      {"dog", {"dog", "breed", "mass_kg"}}};
  const auto rows = Rows();
  for (const auto& [type, names] : fields) {
    const Json golden = GoldenMessage(kApi, type);
    for (const std::string& name : names) {
      EXPECT_TRUE(golden.contains(name)) << type << ": " << name;
      EXPECT_NE(rows.at(type).find("`" + name + "`"), std::string::npos)
          << type << ": " << name;
    }
  }
}

TEST(ApiShape, SeesAMissingAStrangeAndAMistypedField) {
  const Json golden = {{"a", 1.0}, {"b", {{"c", "x"}}}, {"d", {1, nullptr}}};
  Json message = golden;
  EXPECT_EQ(ShapeProblem(message, golden), "");
  message["d"] = {nullptr, 3, "x"};
  EXPECT_NE(ShapeProblem(message, golden).find("message.d[2]"),
            std::string::npos);
  message = golden;
  message["b"].erase("c");
  EXPECT_EQ(ShapeProblem(message, golden), "message.b lacks c");
  message = golden;
  message["e"] = 1;
  EXPECT_EQ(ShapeProblem(message, golden),
            "message has e, which api/ does not know");
  message = golden;
  message["a"] = nullptr;
  EXPECT_EQ(ShapeProblem(message, golden), "");
}

TEST(ReplayDay, SpeaksAsTheApiSays) {
  LiveHub hub;
  std::map<std::string, int> seen;
  hub.Subscribe([&seen](std::shared_ptr<const std::string> text) {
    const Json message = Json::parse(*text);
    const std::string type = message["type"];
    ++seen[type];
    Json golden = GoldenMessage(kApi, type);
    if (type == "bite") golden = GoldenMessage(kApi, "bite_at_least");
    EXPECT_EQ(ShapeProblem(message, golden), "") << *text;
  });
  ReplayDay day(hub);
  day.Seek(0.0);
  for (int i = 0; i < 220; ++i) day.Advance(0.5);
  day.Say("warn", "x");
  day.End();
  EXPECT_EQ(seen["bite"], 6);
  EXPECT_EQ(seen["now"], 221);
  EXPECT_GE(seen["hello"], 6);
  EXPECT_EQ(seen["end"], 1);
}

TEST(ReplayDay, ObeysTheOperator) {
  LiveHub hub;
  ReplayDay day(hub);
  day.Seek(70.0);
  EXPECT_TRUE(hub.Act(R"({"type":"up","dog":"Moss"})").has_value());
  day.Advance(0.05);
  EXPECT_EQ(Json::parse(*hub.Kept("now"))["up"], "Moss");
  EXPECT_FALSE(hub.Act(R"({"type":"up","dog":"Nobody"})").has_value());
  EXPECT_FALSE(hub.Act(R"({"type":"up","dog":5})").has_value());
  EXPECT_FALSE(hub.Act(R"({"type":"dance"})").has_value());
  EXPECT_FALSE(hub.Act("[]").has_value());
}

}  // namespace
}  // namespace masseter
