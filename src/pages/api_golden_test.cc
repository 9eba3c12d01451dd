#include <gtest/gtest.h>

#include <fstream>
#include <map>
#include <memory>
#include <sstream>
#include <vector>

#include "app/bench_page.h"
#include "pages/api_shape.h"
#include "pages/replay_day.h"

namespace masseter {
namespace {

using Json = nlohmann::json;
const std::string kApi = std::string(MASSETER_SOURCE_DIR) + "/api";

const char* const kExamples[] = {
    "role",          "hello", "trace", "now",   "now_ready", "bite",
    "bite_at_least", "say",   "end",   "done",  "refused",   "up",
    "out",           "zero",  "dog",   "bench", "desk"};

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
  EXPECT_EQ(rows.size(), 13U);
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
      {"bench",
       {"title", "rig", "state", "step", "steps", "read", "series", "load_unit",
        "asked", "places_mm", "waited_s", "patience_s", "silent_s", "channels",
        "readings", "words", "said"}},
      {"desk", {"word", "number", "reason", "step"}},
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

class BenchPageTest : public ::testing::Test {
 protected:
  BenchPageTest() {
    plan_.places = {{0.0, 0.0}, {60.0, 15.0}};
    plan_.loads = {5.0, 10.0};
    plan_.series = 1;
    session_.emplace(plan_, 2, SettleRule{});
    for (const char* name : {"c1", "c2"}) {
      Channel channel;
      channel.name = name;
      rig_.channels.push_back(channel);
    }
    rig_.name = "two cells";
    page_.emplace(hub_, rig_, "Bench session 1", 60.0,
                  std::vector<std::string>{"ok", "strike", "stop"});
  }
  Json Shown(const std::string& said = "x") {
    page_->Show(*session_, said);
    return Json::parse(*hub_.Kept("bench"));
  }
  // A second of samples at 100 a second that settle at once.
  void Settle(double level) {
    for (int i = 0; i < 260 && session_->state() != BenchState::kAsking; ++i) {
      t_s_ += 0.01;
      const double noise = (i * 7919 % 13 - 6) * 0.1;
      const std::vector<double> v = {level + noise, level - noise};
      session_->Add(t_s_, v, false, std::nullopt);
    }
  }

  LiveHub hub_;
  Rig rig_;
  LoadPlan plan_;
  std::optional<BenchSession> session_;
  std::optional<BenchPage> page_;
  double t_s_ = 0.0;
};

TEST_F(BenchPageTest, SpeaksAsTheApiSays) {
  const Json golden = GoldenMessage(kApi, "bench");
  EXPECT_EQ(ShapeProblem(Shown(), golden), "");
  FeedBlock block;
  block.samples.t_s = {0.0, 0.01};
  block.samples.channel = {{1.0, 3.0}, {5.0, 5.0}};
  block.samples.before = {Break::kNone, Break::kNone};
  page_->Heard(block);
  session_->Placed();
  Settle(100.0);
  ASSERT_EQ(session_->read_count(), 1U);
  const Json shown = Shown("  reading 1\n");
  EXPECT_EQ(ShapeProblem(shown, golden), "");
  EXPECT_EQ(shown["channels"][0]["signal"], 2.0);
  EXPECT_EQ(shown["read"], 1);
  EXPECT_EQ(shown["asked"]["load"], 5.0);
  EXPECT_EQ(shown["readings"][0]["number"], 1);
  EXPECT_EQ(shown["said"], "reading 1");
}

TEST_F(BenchPageTest, HandsOverWordsAsLinesOfTheTerminal) {
  EXPECT_TRUE(hub_.Act(R"({"type":"desk","word":"ok","step":0})").has_value());
  EXPECT_TRUE(
      hub_.Act(R"({"type":"desk","word":"strike","number":2,"reason":"a\nb"})")
          .has_value());
  EXPECT_EQ(page_->NextLine(*session_), "ok");
  EXPECT_EQ(page_->NextLine(*session_), "strike 2 a b");
  EXPECT_EQ(page_->NextLine(*session_), std::nullopt);
  // A page that was behind: its load is not the one asked for.
  EXPECT_TRUE(hub_.Act(R"({"type":"desk","word":"ok","step":3})").has_value());
  EXPECT_EQ(page_->NextLine(*session_), std::nullopt);
  EXPECT_NE(std::string(Shown("")["said"]).find("read already"),
            std::string::npos);
}

TEST_F(BenchPageTest, RefusesWhatTheDeskDoesNotKnow) {
  for (const char* text :
       {"[]", "{}", R"({"type":"desk"})", R"({"type":"desk","word":7})",
        R"({"type":"desk","word":"dance"})", R"({"type":"up","word":"ok"})",
        R"({"type":"desk","word":"strike","number":2})",
        R"({"type":"desk","word":"strike","reason":"x"})"}) {
    EXPECT_FALSE(hub_.Act(text).has_value()) << text;
  }
  page_.reset();
  EXPECT_FALSE(hub_.Act(R"({"type":"desk","word":"ok"})").has_value());
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
