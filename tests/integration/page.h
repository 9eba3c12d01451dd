// A page of the running program: joins its WebSocket, hears every message,
// sends actions.
#ifndef MASSETER_TESTS_INTEGRATION_PAGE_H_
#define MASSETER_TESTS_INTEGRATION_PAGE_H_

// <utility> must come before Boost.Asio 1.74 on g++ 12.
#include <utility>
//
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/websocket.hpp>
#include <functional>
#include <mutex>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>
#include <vector>

#include "tests/integration/program.h"

namespace masseter::integration {

class Page {
  using Socket = boost::beast::websocket::stream<boost::asio::ip::tcp::socket>;

 public:
  using Json = nlohmann::json;
  using Test = std::function<bool(const Json&)>;

  // Waits for the address in what the program says.
  explicit Page(const Process& program) : socket_(io_) {
    const std::string words = "http://127.0.0.1:";
    std::string said;
    EXPECT_TRUE(Eventually([&] {
      said = program.out() + program.err();
      const std::size_t at = said.find(words);
      return at != std::string::npos && said.find('/', at + 7) < said.size();
    })) << said;
    const std::size_t at = said.find(words) + 7;
    const std::string host = said.substr(at, said.find('/', at) - at);
    socket_.next_layer().connect({boost::asio::ip::make_address("127.0.0.1"),
                                  static_cast<std::uint16_t>(std::stoi(
                                      host.substr(host.find(':') + 1)))});
    socket_.set_option(boost::beast::websocket::stream_base::decorator(
        [host](boost::beast::websocket::request_type& request) {
          request.set(boost::beast::http::field::origin, "http://" + host);
        }));
    socket_.handshake(host, "/live");
    reader_ = std::thread([this] { Read(); });
  }
  ~Page() {
    boost::system::error_code ignored;
    socket_.next_layer().shutdown(boost::asio::ip::tcp::socket::shutdown_both,
                                  ignored);
    reader_.join();
  }
  Page(const Page&) = delete;
  Page& operator=(const Page&) = delete;

  // The newest message that passes, waited for; null when none comes.
  Json Await(const Test& test, double seconds = 10.0) {
    Json found;
    Eventually(
        [&] {
          const std::lock_guard lock(mutex_);
          for (auto m = heard_.rbegin(); m != heard_.rend(); ++m) {
            if (!test(*m)) continue;
            found = *m;
            return true;
          }
          return false;
        },
        seconds);
    return found;
  }
  Json Await(const std::string& type) {
    return Await([&](const Json& m) { return m["type"] == type; });
  }

  // "" when the recorder has done it, else why not.
  std::string Act(const Json& action) {
    std::size_t before = 0;
    {
      const std::lock_guard lock(mutex_);
      before = answers_.size();
    }
    socket_.write(boost::asio::buffer(action.dump()));
    const bool came = Eventually([&] {
      const std::lock_guard lock(mutex_);
      return answers_.size() > before;
    });
    const std::lock_guard lock(mutex_);
    if (!came) return "no answer";
    const Json& answer = answers_.back();
    EXPECT_EQ(answer["of"], action["type"]);
    return answer["type"] == "done" ? "" : answer["text"].get<std::string>();
  }

  // How many messages of this type came for this sleeve.
  int Count(const std::string& type, int sleeve) {
    const std::lock_guard lock(mutex_);
    return static_cast<int>(
        std::count_if(heard_.begin(), heard_.end(), [&](const Json& m) {
          return m["type"] == type && m.value("sleeve", -1) == sleeve;
        }));
  }

 private:
  void Read() {
    for (;;) {
      boost::beast::flat_buffer buffer;
      boost::system::error_code error;
      socket_.read(buffer, error);
      if (error) return;
      Json message =
          Json::parse(boost::beast::buffers_to_string(buffer.data()));
      const std::lock_guard lock(mutex_);
      const bool answer =
          message["type"] == "done" || message["type"] == "refused";
      (answer ? answers_ : heard_).push_back(std::move(message));
    }
  }

  boost::asio::io_context io_;
  Socket socket_;
  std::mutex mutex_;  // guards the two below
  std::vector<Json> heard_;
  std::vector<Json> answers_;
  std::thread reader_;
};

}  // namespace masseter::integration

#endif  // MASSETER_TESTS_INTEGRATION_PAGE_H_
