// How the server serves this machine alone; shared pages: server_share_test.cc.
#include "pages/server.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <thread>

#include "pages/server_testing.h"

namespace masseter::server_testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

TEST_F(ServerTest, ServesThePage) {
  Start();
  const auto response = Get("/", host_);
  EXPECT_EQ(response.result(), http::status::ok);
  EXPECT_THAT(response.body(), HasSubstr("<title>masseter</title>"));
}

TEST_F(ServerTest, AnswersSeveralRequestsOnOneConnection) {
  Start();
  tcp::socket socket = Connect();
  beast::flat_buffer buffer;
  for (const char* target : {"/", "/nothing", "/"}) {
    http::request<http::empty_body> request{http::verb::get, target, 11};
    request.set(http::field::host, host_);
    http::write(socket, request);
    http::response<http::string_body> response;
    http::read(socket, buffer, response);
    EXPECT_EQ(response.result() == http::status::ok,
              std::string(target) == "/");
  }
}

TEST_F(ServerTest, SaysThatThereIsNothingElse) {
  Start();
  EXPECT_EQ(Get("/nothing", host_).result(), http::status::not_found);
}

TEST_F(ServerTest, RefusesAStrangersHost) {
  Start();
  EXPECT_EQ(Get("/", "stranger.example").result(), http::status::forbidden);
  EXPECT_FALSE(Join("stranger.example", "http://stranger.example"));
}

TEST_F(ServerTest, RefusesAStrangersOrigin) {
  Start();
  EXPECT_FALSE(Join(host_, "http://stranger.example"));
  EXPECT_TRUE(Join(host_, "http://" + host_));
}

TEST_F(ServerTest, RefusesAnEndlessHeader) {
  Start();
  tcp::socket socket = Connect();
  const std::string request =
      "GET / HTTP/1.1\r\nHost: " + host_ + "\r\nX: " + std::string(20000, 'a');
  net::write(socket, net::buffer(request));
  beast::flat_buffer buffer;
  http::response<http::string_body> response;
  http::read(socket, buffer, response);
  EXPECT_EQ(response.result(), http::status::payload_too_large);
}

TEST_F(ServerTest, BringsAPageUpToDateThenSendsWhatIsNew) {
  Start();
  hub_.Publish("bite:1", Message("bite", 3));
  hub_.Publish("now", Message("now", 2));
  hub_.Publish("hello", Message("hello", 1));
  auto page = Join();
  ASSERT_TRUE(page);
  EXPECT_EQ(Json::parse(Next(*page)),
            (Json{{"type", "role"}, {"role", "operator"}}));
  EXPECT_THAT(NumbersUntil(*page, "bite"), ElementsAre(1, 2, 3));
  hub_.Publish("", Message("say", 4));
  EXPECT_THAT(NumbersUntil(*page, "say"), ElementsAre(4));
}

TEST_F(ServerTest, TakesAnActionToTheHubAndTheAnswerBack) {
  Start();
  std::vector<std::string> taken;
  hub_.SetActionHandler([&taken](const std::string& json) -> Expected<void> {
    taken.push_back(json);
    if (taken.size() == 2) return BadInput("", "Fenn is not on the roster");
    return {};
  });
  auto page = Join();
  ASSERT_TRUE(page);
  Next(*page);  // its role
  Next(*page);  // its links
  const std::string action = R"({"type":"up","dog":"Juno"})";
  page->write(net::buffer(action));
  EXPECT_EQ(Json::parse(Next(*page)), (Json{{"type", "done"}, {"of", "up"}}));
  page->write(net::buffer(action));
  EXPECT_EQ(Json::parse(Next(*page)),
            (Json{{"type", "refused"},
                  {"of", "up"},
                  {"text", "Fenn is not on the roster"}}));
  page->write(net::buffer(std::string("not JSON")));
  EXPECT_EQ(Json::parse(Next(*page))["type"], "refused");
  EXPECT_THAT(taken, ElementsAre(action, action));
  hub_.SetActionHandler({});
}

TEST_F(ServerTest, ClosesOnAMessageThatIsTooLong) {
  Start({.action_bytes = 100});
  auto page = Join();
  ASSERT_TRUE(page);
  AwaitListening(*page);
  page->write(net::buffer(std::string(101, ' ')));
  beast::flat_buffer buffer;
  beast::error_code error;
  page->read(buffer, error);
  EXPECT_EQ(error, websocket::error::closed);
  EXPECT_EQ(page->reason().code, websocket::close_code::too_big);
}

TEST_F(ServerTest, NeverWaitsForASlowPageAndLosesNoBite) {
  Start();
  auto page = Join();
  ASSERT_TRUE(page);
  AwaitListening(*page);
  const std::string bulk(20000, 'x');
  hub_.Keep("trace",
            Json{{"type", "trace"}, {"whole", true}, {"n", 9999}}.dump());
  const std::string columns =
      Json{{"type", "trace"}, {"whole", false}, {"bulk", bulk}}.dump();
  // 20 MB, more than the sockets hold, while the page reads nothing: if
  // Publish waited for it, this loop would never end.
  for (int i = 0; i < 1000; ++i) {
    hub_.Publish("", columns);
    if (i % 100 == 0) hub_.Publish("", Message("bite", i / 100));
  }
  hub_.Publish("", Message("end", -1));
  int traces = 0;
  std::vector<int> bites;
  // The sockets may take more while the loop runs: then a whole trace comes
  // early, and again at the end.
  bool whole = false;
  bool end = false;
  while (!whole || !end) {
    const Json message = Json::parse(Next(*page));
    traces += message["type"] == "trace";
    if (message["type"] == "bite") bites.push_back(message["n"]);
    whole = whole || message.value("n", 0) == 9999;
    end = end || message["type"] == "end";
  }
  EXPECT_LT(traces, 1000);
  EXPECT_THAT(bites, ElementsAre(0, 1, 2, 3, 4, 5, 6, 7, 8, 9));
}

TEST_F(ServerTest, ClosesAPageForWhichTooMuchWaits) {
  Start({.waiting_bytes = 1U << 20U});
  auto page = Join();
  ASSERT_TRUE(page);
  AwaitListening(*page);
  const std::string bulk(100000, 'x');
  const std::string bite = Json{{"type", "bite"}, {"bulk", bulk}}.dump();
  for (int i = 0; i < 400; ++i) {
    hub_.Publish("", bite);
  }
  beast::error_code error;
  int read = 0;
  while (!error) {
    beast::flat_buffer buffer;
    page->read(buffer, error);
    ++read;
  }
  EXPECT_LT(read, 400);
}

TEST_F(ServerTest, SaysThatThePortIsTakenInOneSentence) {
  Start();
  const auto second = PageServer::Start(host_, hub_);
  ASSERT_FALSE(second.has_value());
  EXPECT_EQ(second.error().kind, ErrorKind::kMachine);
  EXPECT_EQ(second.error().Text(),
            host_ +
                ": another program already listens there; choose another "
                "port, or port 0 for any free one");
}

TEST_F(ServerTest, SaysThatItCannotReadAnAddress) {
  const auto server = PageServer::Start("here:8600", hub_);
  ASSERT_FALSE(server.has_value());
  EXPECT_EQ(server.error().kind, ErrorKind::kBadInput);
}

TEST_F(ServerTest, RefusesAnAddressThatOthersCanCallWithoutCodes) {
  for (const char* listen : {"0.0.0.0:0", "[::]:0", "192.0.2.7:8600"}) {
    const auto server = PageServer::Start(listen, hub_);
    ASSERT_FALSE(server.has_value()) << listen;
    EXPECT_EQ(server.error().kind, ErrorKind::kBadInput);
    EXPECT_THAT(server.error().Text(), HasSubstr("--share"));
  }
}

TEST_F(ServerTest, ClosesASilentConnection) {
  Start({.request_time = std::chrono::milliseconds(200)});
  tcp::socket socket = Connect();
  char byte = 0;
  beast::error_code error;
  socket.read_some(net::buffer(&byte, 1), error);
  EXPECT_TRUE(error);
}

TEST_F(ServerTest, GoesWhilePagesListenAndTheRecorderSpeaks) {
  Start();
  auto page = Join();
  ASSERT_TRUE(page);
  std::thread recorder([this] {
    for (int i = 0; i < 3000; ++i) hub_.Publish("now", Message("now", i));
  });
  Next(*page);
  server_.reset();
  recorder.join();
  beast::error_code error;
  while (!error) {
    beast::flat_buffer buffer;
    page->read(buffer, error);
  }
  EXPECT_TRUE(error);
}

TEST_F(ServerTest, TurnsAwayMoreThanItsShare) {
  Start({.max_connections = 2});
  auto one = Join();
  auto two = Join();
  ASSERT_TRUE(one && two);
  EXPECT_FALSE(Join());
}

}  // namespace
}  // namespace masseter::server_testing
