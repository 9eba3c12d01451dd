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
    "role",           "share",       "hello",         "trace", "now",
    "now_ready",      "bite",        "bite_at_least", "day",   "checks",
    "bite_withdrawn", "say",         "bench",         "end",   "done",
    "refused",        "up",          "up_sleeve",     "out",   "out_sleeve",
    "zero",           "zero_sleeve", "dog",           "order", "limit",
    "note",           "void",        "restore",       "undo",  "checks_open",
    "load",           "passed",      "passed_anyway", "desk"};

// The rows of README.md's tables by type: "| `hello` | when | fields |". A
// message and an action of one type stand one after the other.
std::map<std::string, std::string> Rows() {
  std::ifstream file(kApi + "/README.md");
  std::map<std::string, std::string> rows;
  for (std::string line; std::getline(file, line);) {
    if (line.substr(0, 3) != "| `") continue;
    rows[line.substr(3, line.find('`', 3) - 3)] += line;
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
  EXPECT_EQ(rows.size(), 24U);
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
        "sleeves", "trace_span_s", "version"}},
      {"share", {"links"}},
      {"day", {"order", "dogs", "notes", "undo"}},
      {"checks", {"stage", "items", "load", "cautions", "passed"}},
      {"trace", {"sleeve", "whole", "start_s", "column_s", "low_n", "high_n"}},
      {"now",
       {"sleeve", "unix_s", "t_s", "force_n", "state", "up", "bites_up",
        "lights", "bite"}},
      {"bite", {"sleeve", "bite", "squeeze_u95_n", "spark", "clock"}},
      {"say", {"level", "text"}},
      {"end", {"text"}},
      {"role", {"role"}},
      {"bench",
       {"title", "rig", "state", "step", "steps", "read", "series", "load_unit",
        "asked", "places_mm", "waited_s", "patience_s", "silent_s", "channels",
        "readings", "words", "said"}},
      {"desk", {"word", "number", "reason", "step"}},
      {"up", {"dog"}},
      {"dog", {"dog", "breed", "mass_kg"}},
      {"order", {"dogs"}},
      {"limit", {"dog", "bites", "minutes"}},
      {"note", {"text", "bite"}},
      {"void", {"bite", "reason"}},
      {"restore", {"bite"}},
      {"load", {"mass_kg", "sleeve"}}};
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

class Listener {
 public:
  // Holds every message of `hub` against its example.
  explicit Listener(LiveHub& hub) {
    hub.Subscribe([this](std::shared_ptr<const std::string> text) {
      const Json message = Json::parse(*text);
      const std::string type = message["type"];
      ++seen[type];
      const char* golden = type == "bite" ? "bite_at_least" : type.c_str();
      EXPECT_EQ(ShapeProblem(message, GoldenMessage(kApi, golden)), "")
          << *text;
    });
  }
  std::map<std::string, int> seen;
};

TEST(ReplayDay, SpeaksAsTheApiSays) {
  LiveHub hub;
  Listener listener(hub);
  ReplayDay day(hub);
  day.Seek(0.0);
  EXPECT_TRUE(hub.Act(R"({"type":"checks","stage":"before"})").has_value());
  EXPECT_TRUE(hub.Act(R"({"type":"load","mass_kg":20})").has_value());
  for (int i = 0; i < 220; ++i) day.Advance(0.5);
  day.Say("warn", "x");
  day.End();
  EXPECT_EQ(listener.seen["bite"], 6);
  EXPECT_EQ(listener.seen["now"], 221);
  EXPECT_GE(listener.seen["hello"], 6);
  EXPECT_GE(listener.seen["checks"], 10);
  EXPECT_GE(listener.seen["day"], 6);
  EXPECT_EQ(listener.seen["end"], 1);
}

TEST(ReplayDay, SpeaksForEachOfSeveralSleeves) {
  LiveHub hub;
  Listener listener(hub);
  ReplayDay day(hub, 2);
  day.Seek(25.0);
  EXPECT_EQ(Json::parse(*hub.Kept("hello"))["sleeves"].size(), 2U);
  EXPECT_TRUE(hub.Act(R"({"type":"up","dog":"Moss","sleeve":1})").has_value());
  day.Advance(0.0);
  EXPECT_EQ(Json::parse(*hub.Kept("now"))["up"], "Brisk");
  const Json second = Json::parse(*hub.Kept("now:1"));
  EXPECT_EQ(second["up"], "Moss");
  EXPECT_EQ(second["sleeve"], 1);
  EXPECT_EQ(listener.seen["bite"], 3);
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

class ReplayWordsTest : public ::testing::Test {
 protected:
  ReplayWordsTest() { day_.Seek(90.0); }
  bool Says(const std::string& action) {
    const bool done = hub_.Act(action).has_value();
    day_.Advance(0.0);
    return done;
  }
  Json Kept(const std::string& key) { return Json::parse(*hub_.Kept(key)); }

  LiveHub hub_;
  ReplayDay day_{hub_};
};

TEST_F(ReplayWordsTest, StrikesABiteOutAndRestoresIt) {
  EXPECT_EQ(Kept("bite:5")["bite"]["verdict"], "sound");
  EXPECT_FALSE(Says(R"({"type":"void","bite":5,"reason":""})"));
  EXPECT_FALSE(Says(R"({"type":"void","bite":6,"reason":"not yet there"})"));
  EXPECT_TRUE(Says(R"({"type":"void","bite":5,"reason":"a knee on it"})"));
  const Json struck = Kept("bite:5")["bite"];
  EXPECT_EQ(struck["verdict"], "void");
  EXPECT_EQ(struck["reasons"][0]["code"], "withdrawn");
  EXPECT_EQ(struck["reasons"][0]["text"], "a knee on it");
  EXPECT_TRUE(Says(R"({"type":"restore","bite":5})"));
  EXPECT_EQ(Kept("bite:5")["bite"]["verdict"], "sound");
  EXPECT_FALSE(Says(R"({"type":"restore","bite":5})"));
}

TEST_F(ReplayWordsTest, TakesBackOneWordAfterTheOther) {
  EXPECT_EQ(Kept("day")["undo"], nullptr);
  EXPECT_FALSE(Says(R"({"type":"undo"})"));
  EXPECT_TRUE(Says(R"({"type":"up","dog":"Tarn"})"));
  EXPECT_TRUE(Says(R"({"type":"order","dogs":["Moss","Juno"]})"));
  EXPECT_EQ(Kept("day")["order"], Json({"Moss", "Juno", "Brisk", "Tarn"}));
  EXPECT_EQ(Kept("day")["undo"], "the new running order");
  EXPECT_TRUE(Says(R"({"type":"undo"})"));
  EXPECT_EQ(Kept("day")["order"], Json({"Brisk", "Juno", "Tarn", "Moss"}));
  EXPECT_EQ(Kept("day")["undo"], "Tarn is up");
  EXPECT_TRUE(Says(R"({"type":"undo"})"));
  EXPECT_EQ(Kept("now")["up"], "Brisk");
}

TEST_F(ReplayWordsTest, KeepsNotesAndLimits) {
  EXPECT_TRUE(Says(R"({"type":"note","text":"slipped","bite":3})"));
  EXPECT_TRUE(Says(R"({"type":"note","text":"rain","bite":null})"));
  const Json notes = Kept("day")["notes"];
  EXPECT_EQ(notes[0]["dog"], "Brisk");
  EXPECT_EQ(notes[0]["bite"], nullptr);
  EXPECT_EQ(notes[1]["bite"], 3);
  EXPECT_TRUE(
      Says(R"({"type":"limit","dog":"Juno","bites":2,"minutes":null})"));
  const Json dogs = Kept("day")["dogs"];
  EXPECT_EQ(dogs[1]["dog"], "Juno");
  EXPECT_EQ(dogs[1]["limit_bites"], 2);
  EXPECT_EQ(dogs[1]["limit_minutes"], nullptr);
  EXPECT_EQ(dogs[1]["bites"], 1);
}

TEST_F(ReplayWordsTest, RefusesToPassWithABadItemUnlessTold) {
  EXPECT_FALSE(Says(R"({"type":"passed"})"));
  EXPECT_FALSE(Says(R"({"type":"load","mass_kg":90})"));
  EXPECT_TRUE(Says(R"({"type":"checks","stage":"after"})"));
  EXPECT_TRUE(Says(R"({"type":"load","mass_kg":90})"));
  for (int i = 0; i < 20; ++i) day_.Advance(0.05);
  EXPECT_FALSE(Says(R"({"type":"passed"})"));
  EXPECT_TRUE(Says(R"({"type":"load","mass_kg":20})"));
  for (int i = 0; i < 40; ++i) day_.Advance(0.05);
  EXPECT_EQ(Kept("checks")["load"]["within"], true);
  EXPECT_TRUE(Says(R"({"type":"passed"})"));
  EXPECT_EQ(Kept("checks")["stage"], "none");
  EXPECT_EQ(Kept("checks")["passed"], "14:06:32");
}

}  // namespace
}  // namespace masseter
