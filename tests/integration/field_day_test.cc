// A field day through the running program: sleeves that the test plays, an
// operator's page, and a recorder that dies in between.
#include "tests/integration/page.h"
#include "tests/integration/program.h"
#include "tests/integration/sockets.h"

namespace masseter::integration {
namespace {

using Json = nlohmann::json;

// The example's capture, 500 samples a second, sent as far as it is asked for.
// Its bites: 3.0 to 4.2 s, 7.2 to 9.6 s, 12.0 to 13.6 s.
class Sleeve {
 public:
  Sleeve() : text_(FileText(Example("capture.csv"))) {}
  ~Sleeve() {
    if (fd_ >= 0) close(fd_);
  }
  std::string source() const {
    return "tcp:127.0.0.1:" + std::to_string(listener_.port);
  }
  void Connect() { fd_ = listener_.Accept(); }
  void PlayUntil(double t_s) {
    const auto lines = static_cast<int>(t_s * 500.0);
    std::size_t end = at_;
    for (; line_ < lines && end < text_.size(); ++line_) {
      end = std::min(text_.find('\n', end), text_.size() - 1) + 1;
    }
    SendAll(fd_, text_.substr(at_, end - at_));
    at_ = end;
  }

 private:
  Listener listener_;
  std::string text_;
  int fd_ = -1;
  int line_ = 0;
  std::size_t at_ = 0;
};

class FieldDayTest : public testing::Test {
 protected:
  void SetUp() override {
    book_ = CalibratedBook(folder_);
    std::ofstream(folder_ / "roster.csv")
        << "dog,breed,mass_kg\nBrisk,,\nJuno,,\nTarn,,\n";
  }

  struct Day {
    explicit Day(std::size_t count) : sleeves(count) {}
    std::vector<Sleeve> sleeves;
    std::unique_ptr<Process> live;
    std::unique_ptr<Page> page;
    void PlayUntil(double t_s) {
      for (Sleeve& sleeve : sleeves) sleeve.PlayUntil(t_s);
    }
  };
  // Records two seconds of so many sleeves, in which no dog bites; the page has
  // joined.
  Day Begin(std::size_t count = 1) {
    Day day(count);
    std::vector<std::string> call = {"live",     book_,
                                     "--listen", "127.0.0.1:0",
                                     "--roster", folder_ / "roster.csv",
                                     "--json"};
    for (const Sleeve& sleeve : day.sleeves) {
      call.insert(call.end(), {"--from", sleeve.source()});
    }
    day.live = std::make_unique<Process>(call);
    for (Sleeve& sleeve : day.sleeves) sleeve.Connect();
    day.page = std::make_unique<Page>(*day.live);
    day.PlayUntil(2.0);
    return day;
  }

  Json Stored(int id) const {
    const Json bites = Masseter({"bites", book_, "--json"}).Json()["bites"];
    for (const auto& bite : bites) {
      if (bite["id"] == id) return bite;
    }
    return nullptr;
  }

  static Page::Test BiteOf(int id, const std::string& dog,
                           const std::string& verdict) {
    return [=](const Json& m) {
      return m["type"] == "bite" && m["bite"]["id"] == id &&
             m["bite"]["dog"] == dog && m["bite"]["verdict"] == verdict;
    };
  }
  // The newest `day` is one in which this dog has so many bites.
  static int Bites(const Json& day, const std::string& dog) {
    for (const auto& d : day["dogs"]) {
      if (d["dog"] == dog) return d["bites"];
    }
    return -1;
  }

  Folder folder_;
  std::string book_;
};

TEST_F(FieldDayTest, TwoSleevesHaveTheirOwnDogs) {
  Day day = Begin(2);
  Page& page = *day.page;
  EXPECT_EQ(page.Await("hello")["sleeves"].size(), 2U);
  EXPECT_EQ(page.Act({{"type", "up"}, {"dog", "Brisk"}, {"sleeve", 0}}), "");
  EXPECT_EQ(page.Act({{"type", "up"}, {"dog", "Juno"}, {"sleeve", 1}}), "");
  EXPECT_EQ(page.Act({{"type", "up"}, {"dog", "Tarn"}, {"sleeve", 2}}),
            "there is no sleeve 3 of 2");
  day.PlayUntil(6.0);
  for (int sleeve = 0; sleeve < 2; ++sleeve) {
    const std::string dog = sleeve == 0 ? "Brisk" : "Juno";
    const Json bite = page.Await([&](const Json& m) {
      return m["type"] == "bite" && m["sleeve"] == sleeve;
    });
    ASSERT_FALSE(bite.is_null());
    EXPECT_EQ(bite["bite"]["dog"], dog);
    EXPECT_EQ(Stored(bite["bite"]["id"])["dog"], dog);
    EXPECT_FALSE(page.Await([&](const Json& m) {
                       return m["type"] == "now" && m["sleeve"] == sleeve &&
                              m["up"] == dog && m["bites_up"] == 1;
                     })
                     .is_null());
    EXPECT_GT(page.Count("trace", sleeve), 0);
  }
}

// "" when `message` has the fields of the example in api/ and no other, at the
// top and inside the first entry of every list of objects.
std::string FieldsProblem(const Json& message, const Json& example,
                          const std::string& where) {
  if (message.is_array() && example.is_array()) {
    if (message.empty() || example.empty()) return "";
    return FieldsProblem(message[0], example[0], where + "[0]");
  }
  if (!message.is_object() || !example.is_object()) return "";
  for (const auto& [key, value] : example.items()) {
    if (!message.contains(key)) return where + " lacks " + key;
    const std::string inner =
        FieldsProblem(message[key], value, where + "." + key);
    if (!inner.empty()) return inner;
  }
  for (const auto& [key, value] : message.items()) {
    if (!example.contains(key)) return where + " has " + key;
  }
  return "";
}

TEST_F(FieldDayTest, TheMessagesHaveTheFieldsOfTheirExamples) {
  Day day = Begin();
  Page& page = *day.page;
  ASSERT_EQ(page.Act({{"type", "up"}, {"dog", "Brisk"}}), "");
  ASSERT_EQ(page.Act({{"type", "note"}, {"text", "rain"}, {"bite", nullptr}}),
            "");
  ASSERT_EQ(page.Act({{"type", "checks"}, {"stage", "before"}}), "");
  for (const char* type : {"hello", "trace", "now", "day", "checks"}) {
    const Json example = Json::parse(
        FileText(std::string(MASSETER_SOURCE_DIR) + "/api/" + type + ".json"));
    EXPECT_EQ(FieldsProblem(page.Await(type), example, type), "");
  }
}

TEST_F(FieldDayTest, ABiteIsStruckOutGivenBackAndBothAreTakenBack) {
  Day day = Begin();
  Page& page = *day.page;
  ASSERT_EQ(page.Act({{"type", "up"}, {"dog", "Brisk"}}), "");
  day.PlayUntil(6.0);
  ASSERT_FALSE(page.Await(BiteOf(1, "Brisk", "sound")).is_null());
  EXPECT_EQ(page.Act({{"type", "void"}, {"bite", 9}, {"reason", "slipped"}}),
            "bite 9: is not in this logbook; masseter bites lists those that "
            "are");
  EXPECT_EQ(page.Act({{"type", "restore"}, {"bite", 1}}),
            "bite 1: is not struck out");

  EXPECT_EQ(page.Act({{"type", "void"}, {"bite", 1}, {"reason", "slipped"}}),
            "");
  const Json struck = page.Await(BiteOf(1, "Brisk", "void"));
  ASSERT_FALSE(struck.is_null());
  EXPECT_EQ(struck["bite"]["reasons"][0]["code"], "withdrawn");
  EXPECT_EQ(struck["bite"]["reasons"][0]["text"], "slipped");
  EXPECT_EQ(Bites(page.Await("day"), "Brisk"), 0);
  EXPECT_EQ(page.Await("day")["undo"], "bite 1 is struck out");
  EXPECT_EQ(Stored(1)["verdict"], "void");

  EXPECT_EQ(page.Act({{"type", "restore"}, {"bite", 1}}), "");
  EXPECT_EQ(Stored(1)["verdict"], "sound");
  EXPECT_EQ(Bites(page.Await("day"), "Brisk"), 1);
  EXPECT_EQ(page.Act({{"type", "undo"}}), "");  // the restoring
  EXPECT_EQ(Stored(1)["verdict"], "void");
  EXPECT_EQ(page.Act({{"type", "undo"}}), "");  // the striking out
  EXPECT_EQ(Stored(1)["verdict"], "sound");
  EXPECT_EQ(page.Await("day")["undo"], "Brisk is up");
  // From another program, while it records.
  ASSERT_EQ(Masseter({"amend", book_, "1", "--void", "the sleeve fell"}).exit,
            0);
  EXPECT_FALSE(page.Await([](const Json& m) {
                     return m["type"] == "bite" &&
                            m["bite"]["reasons"].size() == 1U &&
                            m["bite"]["reasons"][0]["text"] ==
                                "the sleeve fell";
                   })
                   .is_null());
}

TEST_F(FieldDayTest, UndoOfUpGivesTheBitesTheirRightDogAgain) {
  Day day = Begin();
  Page& page = *day.page;
  ASSERT_EQ(page.Act({{"type", "up"}, {"dog", "Brisk"}}), "");
  ASSERT_EQ(page.Act({{"type", "up"}, {"dog", "Juno"}}), "");  // by mistake
  day.PlayUntil(6.0);
  ASSERT_FALSE(page.Await(BiteOf(1, "Juno", "sound")).is_null());
  ASSERT_EQ(page.Act({{"type", "undo"}}), "");
  EXPECT_FALSE(page.Await(BiteOf(1, "Brisk", "sound")).is_null());
  EXPECT_EQ(Stored(1)["dog"], "Brisk");
  const Json today = page.Await("day");
  EXPECT_EQ(Bites(today, "Brisk"), 1);
  EXPECT_EQ(Bites(today, "Juno"), 0);
  EXPECT_FALSE(page.Await([](const Json& m) {
                     return m["type"] == "now" && m["up"] == "Brisk";
                   })
                   .is_null());
  ASSERT_EQ(page.Act({{"type", "undo"}}), "");
  EXPECT_FALSE(page.Await(BiteOf(1, "", "sound")).is_null());
  EXPECT_EQ(page.Act({{"type", "undo"}}), "there is nothing to take back");
  day.live->Signal(SIGINT);
  EXPECT_EQ(day.live->Wait().exit, 0);
  EXPECT_EQ(Stored(1)["dog"], "");
}

TEST_F(FieldDayTest, ARecorderThatWasKilledLosesNothingThatWasSaid) {
  {
    Day day = Begin();
    Page& page = *day.page;
    ASSERT_EQ(page.Act({{"type", "order"}, {"dogs", {"Tarn", "Brisk"}}}), "");
    ASSERT_EQ(page.Act({{"type", "up"}, {"dog", "Brisk"}}), "");
    ASSERT_EQ(page.Act({{"type", "limit"},
                        {"dog", "Brisk"},
                        {"bites", 1},
                        {"minutes", nullptr}}),
              "");
    day.PlayUntil(6.0);
    ASSERT_FALSE(page.Await(BiteOf(1, "Brisk", "sound")).is_null());
    const Json warned = page.Await([](const Json& m) {
      return m["type"] == "say" && m["level"] == "warn";
    });
    ASSERT_FALSE(warned.is_null());
    EXPECT_EQ(warned["text"], "Brisk has had 1 bite, the limit set for today.");
    ASSERT_EQ(
        page.Act(
            {{"type", "note"}, {"text", "rain begins"}, {"bite", nullptr}}),
        "");
    ASSERT_EQ(page.Act({{"type", "note"}, {"text", "slipped"}, {"bite", 1}}),
              "");
    ASSERT_EQ(page.Act({{"type", "note"}, {"text", "wrong"}, {"bite", 1}}), "");
    ASSERT_EQ(page.Act({{"type", "undo"}}), "");
    ASSERT_EQ(page.Act({{"type", "void"}, {"bite", 1}, {"reason", "slipped"}}),
              "");
    day.live->Signal(SIGKILL);
    day.live->Wait();
  }

  const Day day = Begin();
  const Json earlier = day.page->Await(BiteOf(1, "Brisk", "void"));
  ASSERT_FALSE(earlier.is_null());
  EXPECT_EQ(earlier["bite"]["reasons"][0]["text"], "slipped");
  EXPECT_GT(earlier["spark"].size(), 20U);
  EXPECT_EQ(earlier["clock"].get<std::string>().size(), 8U);
  const Json today = day.page->Await("day");
  EXPECT_EQ(today["order"], (Json{"Tarn", "Brisk", "Juno"}));
  ASSERT_EQ(today["notes"].size(), 2U);
  EXPECT_EQ(today["notes"][0]["text"], "slipped");
  EXPECT_EQ(today["notes"][0]["bite"], 1);
  EXPECT_EQ(today["notes"][1]["text"], "rain begins");
  EXPECT_EQ(today["notes"][1]["dog"], "Brisk");
  EXPECT_TRUE(today["undo"].is_null());
  const Json& brisk = today["dogs"][1];
  EXPECT_EQ(brisk["dog"], "Brisk");
  EXPECT_EQ(brisk["limit_bites"], 1);
  EXPECT_EQ(brisk["bites"], 0);  // struck out
  EXPECT_GE(brisk["up_s"], 3.0);
  EXPECT_FALSE(brisk["last_end_unix_s"].is_null());
  EXPECT_EQ(Stored(1)["verdict"], "void");
  EXPECT_EQ(Stored(1)["dog"], "Brisk");
  // It is still the operator's to give back.
  ASSERT_EQ(day.page->Act({{"type", "restore"}, {"bite", 1}}), "");
  ASSERT_FALSE(day.page->Await(BiteOf(1, "Brisk", "sound")).is_null());
  EXPECT_EQ(Bites(day.page->Await("day"), "Brisk"), 1);
}

// The dog held on when the recorder died.
TEST_F(FieldDayTest, ABiteThatOutlivedItsRecorderIsOnTheNextOnesPage) {
  {
    Day day = Begin();
    ASSERT_EQ(day.page->Act({{"type", "up"}, {"dog", "Brisk"}}), "");
    day.PlayUntil(4.0);
    ASSERT_FALSE(day.page
                     ->Await([](const Json& m) {
                       return m["type"] == "now" && m["t_s"] > 3.9;
                     })
                     .is_null());
    // What came more than a second ago is kept.
    std::this_thread::sleep_for(std::chrono::seconds(1));
    day.live->Signal(SIGKILL);
    day.live->Wait();
  }
  const Day day = Begin();
  const Json cut = day.page->Await([](const Json& m) {
    return m["type"] == "bite" && m["bite"]["dog"] == "Brisk";
  });
  ASSERT_FALSE(cut.is_null());
  EXPECT_EQ(cut["bite"]["at_least"], true);
  EXPECT_EQ(Bites(day.page->Await("day"), "Brisk"), 1);
}

// A sleeve that somebody handles before the first dog: it stands still, bears a
// check load, its battery is full or not. 500 samples a second, as fast as they
// are asked for.
class StillSleeve {
 public:
  ~StillSleeve() {
    if (fd_ >= 0) close(fd_);
  }
  std::string source() const {
    return "tcp:127.0.0.1:" + std::to_string(listener_.port);
  }
  void Connect() {
    fd_ = listener_.Accept();
    SendAll(fd_, "seq,t_us,c1,c2,c3,c4,supply_mv\n");
  }
  void Play(double seconds, const std::vector<long>& counts, int supply_mv) {
    std::string text;
    for (int i = 0; i < static_cast<int>(500.0 * seconds); ++i, ++row_) {
      text += std::to_string(row_) + "," + std::to_string(2000 * row_);
      for (std::size_t c = 0; c < counts.size(); ++c) {
        const long noise = (row_ * 7919 + static_cast<long>(c) * 31) % 101 - 50;
        text += "," + std::to_string(counts[c] + noise);
      }
      text += "," + std::to_string(supply_mv) + "\n";
    }
    SendAll(fd_, text);
  }

 private:
  Listener listener_;
  int fd_ = -1;
  long row_ = 0;
};

// Rows of examples/field-day/readings.csv: series A, 0 kg and 20 kg.
const std::vector<long> kZero = {-66839, -65114, 765, -64031};
const std::vector<long> kTwentyKg = {75939, 81523, 139264, 71243};

class ChecksTest : public FieldDayTest {
 protected:
  void Start() {
    live_ = std::make_unique<Process>(
        std::vector<std::string>{"live", book_, "--from", sleeve_.source(),
                                 "--listen", "127.0.0.1:0", "--json"});
    sleeve_.Connect();
    page_ = std::make_unique<Page>(*live_);
  }
  // The `checks` in which this item has this state.
  Json Item(const std::string& what, const std::string& state) {
    Json found;
    page_->Await([&](const Json& m) {
      if (m["type"] != "checks") return false;
      for (const auto& item : m["items"]) {
        if (item["what"] != what || item["state"] != state) continue;
        found = item;
        return true;
      }
      return false;
    });
    return found;
  }

  StillSleeve sleeve_;
  std::unique_ptr<Process> live_;
  std::unique_ptr<Page> page_;
};

TEST_F(ChecksTest, ALowBatteryIsBadAndMustBeAnsweredFor) {
  Start();
  sleeve_.Play(2.0, kZero, 3300);
  EXPECT_EQ(page_->Act({{"type", "passed"}}), "no checks are open");
  ASSERT_EQ(page_->Act({{"type", "checks"}, {"stage", "before"}}), "");
  EXPECT_GE(page_
                ->Await([](const Json& m) {
                  return m["type"] == "checks" && m["stage"] == "before";
                })["cautions"]
                .size(),
            3U);
  sleeve_.Play(6.0, kZero, 3300);
  const Json supply = Item("supply", "bad");
  ASSERT_FALSE(supply.is_null());
  EXPECT_NE(supply["text"].get<std::string>().find(
                "3300 mV; the sleeve needs 3400 mV"),
            std::string::npos);
  EXPECT_EQ(supply["sleeve"], 0);
  const std::string refused = page_->Act({{"type", "passed"}});
  EXPECT_NE(refused.find("supply: 3300 mV"), std::string::npos) << refused;
  EXPECT_EQ(page_->Act({{"type", "passed"}, {"anyway", "a short day"}}), "");
  const Json over = page_->Await([](const Json& m) {
    return m["type"] == "checks" && m["stage"] == "none" &&
           !m["passed"].is_null();
  });
  ASSERT_FALSE(over.is_null());
  EXPECT_TRUE(over["items"].empty());
  const Json stages = Masseter({"status", book_, "--json"}).Json()["checks"];
  ASSERT_EQ(stages.size(), 1U);
  EXPECT_EQ(stages[0]["stage"], "before");
  EXPECT_EQ(stages[0]["anyway"], "a short day");
  EXPECT_NE(Masseter({"status", book_}).out.find("supply bad"),
            std::string::npos);
}

TEST_F(ChecksTest, ACheckLoadIsJudgedStoredAndNoBite) {
  Start();
  sleeve_.Play(1.0, kZero, 3900);
  ASSERT_EQ(page_->Act({{"type", "up"}, {"dog", "Brisk"}}), "");
  ASSERT_EQ(page_->Act({{"type", "checks"}, {"stage", "after"}}), "");
  EXPECT_EQ(page_->Await("day")["undo"], "nobody is up");
  sleeve_.Play(6.0, kZero, 3900);
  ASSERT_FALSE(Item("load", "todo").is_null());
  ASSERT_FALSE(Item("zero", "ok").is_null());
  sleeve_.Play(4.0, kTwentyKg, 3900);
  ASSERT_EQ(page_->Act({{"type", "load"}, {"mass_kg", 20.0}}), "");
  ASSERT_FALSE(Item("load", "ok").is_null());
  const Json load = page_->Await([](const Json& m) {
    return m["type"] == "checks" && !m["load"].is_null();
  })["load"];
  EXPECT_EQ(load["within"], true);
  // 20 kg under 9.81225 m/s2 in air of 1.2 kg/m3: 196.2 N.
  EXPECT_NEAR(load["sleeve_n"], 196.2, 2.0);
  sleeve_.Play(3.0, kZero, 3900);
  // Whatever the load looked like, it is nobody's bite and struck out.
  const Json bite = page_->Await([](const Json& m) {
    return m["type"] == "bite" && m["bite"]["verdict"] == "void";
  });
  ASSERT_FALSE(bite.is_null());
  EXPECT_EQ(bite["bite"]["dog"], "");
  sleeve_.Play(7.0, kZero, 3900);
  EXPECT_EQ(page_->Act({{"type", "passed"}}), "");
  const Json checks = Masseter({"check", book_, "--json"}).Json()["checks"];
  ASSERT_EQ(checks.size(), 1U);
  EXPECT_EQ(checks[0]["within"], true);
  const Json bites = Masseter({"bites", book_, "--json"}).Json()["bites"];
  for (const auto& b : bites) EXPECT_EQ(b["verdict"], "void");
}

TEST_F(ChecksTest, ACheckLoadBetweenDogsNeedsNoStage) {
  Start();
  sleeve_.Play(2.0, kZero, 3900);
  ASSERT_EQ(page_->Act({{"type", "load"}, {"mass_kg", 20.0}, {"sleeve", 0}}),
            "");
  EXPECT_FALSE(Item("load", "waiting").is_null());
  sleeve_.Play(4.0, kZero, 3900);
  sleeve_.Play(4.0, kTwentyKg, 3900);
  ASSERT_FALSE(Item("load", "ok").is_null());
  const Json told = page_->Await("checks");
  EXPECT_EQ(told["stage"], "none");
  EXPECT_EQ(told["load"]["within"], true);
  EXPECT_EQ(page_->Act({{"type", "passed"}}), "no checks are open");
  // Nobody bit it.
  sleeve_.Play(3.0, kZero, 3900);
  EXPECT_FALSE(page_
                   ->Await([](const Json& m) {
                     return m["type"] == "bite" &&
                            m["bite"]["verdict"] == "void";
                   })
                   .is_null());
}

}  // namespace
}  // namespace masseter::integration
