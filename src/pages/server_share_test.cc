// Shared pages over real sockets: without a code, with the onlooker's, with the
// operator's; what strangers' sites try; and who would fill the room.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <thread>

#include "pages/server_testing.h"

namespace masseter::server_testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

const AccessCodes kCodes{"K7QF3M2XPD", "9RSTVWXYZ0"};

class ServerShareTest : public ServerTest {
 protected:
  void Share(PageServerOptions options = {}) {
    options.codes = kCodes;
    Start(options);
  }
  // The text of the first message of this type.
  static Json Await(Page& page, const std::string& type) {
    for (;;) {
      Json message = Json::parse(Next(page));
      if (message["type"] == type) return message;
    }
  }
};

TEST_F(ServerShareTest, GivesNothingButTheDoorWithoutACode) {
  Share();
  hub_.Publish("hello", Message("hello", 1));
  const Response door = Get("/", host_);
  EXPECT_EQ(door.result(), http::status::ok);
  EXPECT_THAT(door.body(), HasSubstr("action=\"/enter\""));
  EXPECT_THAT(door.body(), Not(HasSubstr("app-")));
  EXPECT_EQ(Get("/nothing", host_).result(), http::status::forbidden);
  EXPECT_FALSE(Join());
  EXPECT_FALSE(JoinWith("masseter_" + std::to_string(port_) + "=" +
                        std::string(64, '0')));
}

TEST_F(ServerShareTest, LetsTheOperatorAct) {
  Share();
  std::vector<std::string> taken;
  hub_.SetActionHandler([&taken](const std::string& json) -> Expected<void> {
    taken.push_back(json);
    return {};
  });
  auto page = JoinWith(CookieFor("k7qf3-m2xpd"));
  ASSERT_TRUE(page);
  EXPECT_EQ(Await(*page, "role")["role"], "operator");
  page->write(net::buffer(std::string(R"({"type":"out"})")));
  EXPECT_EQ(Await(*page, "done")["of"], "out");
  EXPECT_EQ(taken.size(), 1U);
  hub_.SetActionHandler({});
}

// Every action of api/README.md.
TEST_F(ServerShareTest, RefusesEveryActionOfAnOnlooker) {
  Share();
  int taken = 0;
  hub_.SetActionHandler([&taken](const std::string&) -> Expected<void> {
    ++taken;
    return {};
  });
  hub_.Publish("hello", Message("hello", 7));
  auto page = JoinWith(CookieFor("9RSTVWXYZ0"));
  ASSERT_TRUE(page);
  EXPECT_EQ(Await(*page, "role")["role"], "onlooker");
  EXPECT_EQ(Await(*page, "hello")["n"], 7);  // it does see everything
  for (const char* type :
       {"up", "out", "zero", "dog", "order", "limit", "note", "void", "restore",
        "undo", "checks", "load", "passed", "desk", "anything"}) {
    page->write(net::buffer(Json{{"type", type}, {"dog", "Juno"}}.dump()));
    const Json answer = Json::parse(Next(*page));
    EXPECT_EQ(answer["type"], "refused");
    EXPECT_EQ(answer["of"], type);
  }
  EXPECT_EQ(taken, 0);
  hub_.SetActionHandler({});
}

TEST_F(ServerShareTest, TellsTheLinksToOperatorsOnly) {
  Share();
  auto operating = JoinWith(CookieFor("K7QF3M2XPD"));
  auto looking = JoinWith(CookieFor("9RSTVWXYZ0"));
  ASSERT_TRUE(operating && looking);
  EXPECT_TRUE(Await(*operating, "share")["links"].is_array());
  hub_.Publish("end", Message("end", 1));
  std::string all;
  for (std::string next; next.find("\"end\"") == std::string::npos;) {
    next = Next(*looking);
    all += next;
  }
  EXPECT_THAT(all, Not(HasSubstr("share")));
  EXPECT_THAT(all, Not(HasSubstr("K7QF3M2XPD")));
}

TEST_F(ServerShareTest, RefusesARebindingNameAndAStrangersPage) {
  Share();
  const std::string cookie = CookieFor("K7QF3M2XPD");
  const std::string stranger = "stranger.example:" + std::to_string(port_);
  EXPECT_EQ(Get("/", stranger).result(), http::status::forbidden);
  EXPECT_FALSE(Join(stranger, "http://" + stranger, cookie));
  EXPECT_FALSE(Join(host_, "http://stranger.example", cookie));
  EXPECT_FALSE(Join(host_, "null", cookie));
  Request post = RequestFor(http::verb::post, "/enter");
  post.set(http::field::origin, "http://stranger.example");
  post.body() = "code=K7QF3M2XPD";
  EXPECT_EQ(Ask(post).result(), http::status::forbidden);
  EXPECT_TRUE(JoinWith(cookie));
}

TEST_F(ServerShareTest, SlowsDownWhoGuesses) {
  Share();
  std::vector<unsigned> answers;
  for (int i = 0; i < 6; ++i) {
    answers.push_back(Enter("WRONG").result_int());
  }
  EXPECT_THAT(answers, ElementsAre(403U, 403U, 403U, 403U, 403U, 429U));
}

TEST_F(ServerShareTest, RefusesABodyThatIsTooLong) {
  Share();
  EXPECT_EQ(Enter(std::string(5000, 'A')).result(),
            http::status::payload_too_large);
}

// One byte every so often would keep a per-read timer going for good.
TEST_F(ServerShareTest, IsNotHeldUpByARequestThatDribblesIn) {
  Share({.request_time = std::chrono::milliseconds(300)});
  tcp::socket socket = Connect();
  beast::error_code error;
  for (int i = 0; i < 1000 && !error; ++i) {
    net::write(socket, net::buffer("X", 1), error);
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  EXPECT_TRUE(error);
}

TEST_F(ServerShareTest, ReadsActionsOnlySoFastAndLosesNone) {
  Share({.actions_burst = 3.0, .actions_per_s = 50.0});
  std::vector<std::chrono::steady_clock::time_point> taken;
  hub_.SetActionHandler([&taken](const std::string&) -> Expected<void> {
    taken.push_back(std::chrono::steady_clock::now());
    return {};
  });
  auto page = JoinWith(CookieFor("K7QF3M2XPD"));
  ASSERT_TRUE(page);
  for (int i = 0; i < 20; ++i) {
    page->write(net::buffer(std::string(R"({"type":"out"})")));
  }
  for (int i = 0; i < 20; ++i) Await(*page, "done");
  hub_.SetActionHandler({});
  ASSERT_EQ(taken.size(), 20U);
  // 15 of them wait 20 ms for a token: never sooner, however slow all is.
  EXPECT_GE(taken.back() - taken.front(), std::chrono::milliseconds(280));
}

TEST_F(ServerShareTest, ClosesOnAFloodOfPings) {
  Share();
  auto page = JoinWith(CookieFor("9RSTVWXYZ0"));
  ASSERT_TRUE(page);
  beast::error_code error;
  for (int i = 0; i < 100000 && !error; ++i) page->ping({}, error);
  EXPECT_TRUE(error);
}

TEST_F(ServerShareTest, KnowsNobodyAfterANewStart) {
  Share();
  const std::string cookie = CookieFor("K7QF3M2XPD");
  EXPECT_TRUE(JoinWith(cookie));
  const std::string listen = host_;
  server_.reset();
  auto again = PageServer::Start(listen, hub_, {.codes = kCodes});
  ASSERT_TRUE(again.has_value()) << again.error().Text();
  EXPECT_FALSE(JoinWith(cookie));
}

TEST_F(ServerShareTest, NamesNoLinksThatOthersCannotOpen) {
  Share();  // on 127.0.0.1
  EXPECT_THAT(server_->links(), IsEmpty());
  const auto wide = PageServer::Start("0.0.0.0:0", hub_, {.codes = kCodes});
  ASSERT_TRUE(wide.has_value()) << wide.error().Text();
  for (const ShareLink& link : (*wide)->links()) {
    EXPECT_THAT(link.url, Not(HasSubstr("127.0.0.1")));
    EXPECT_THAT(link.url,
                HasSubstr(link.role == PageRole::kOperator ? "/#K7QF3M2XPD"
                                                           : "/#9RSTVWXYZ0"));
  }
}

}  // namespace
}  // namespace masseter::server_testing
