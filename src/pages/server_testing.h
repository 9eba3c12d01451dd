// A server over real sockets on the loopback address and a client for it,
// written against the same Beast but none of this module's code.
#ifndef MASSETER_PAGES_SERVER_TESTING_H_
#define MASSETER_PAGES_SERVER_TESTING_H_

#include <gtest/gtest.h>

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

// After <utility>, which Boost 1.74's Asio misses with g++ 12.
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/http.hpp>
#include <boost/beast/websocket.hpp>
#include <nlohmann/json.hpp>

#include "pages/server.h"

namespace masseter::server_testing {

namespace net = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
namespace websocket = boost::beast::websocket;
using tcp = net::ip::tcp;
using Json = nlohmann::json;

class ServerTest : public ::testing::Test {
 protected:
  void Start(PageServerOptions options = {}) {
    auto server = PageServer::Start("127.0.0.1:0", hub_, options);
    ASSERT_TRUE(server.has_value()) << server.error().Text();
    server_ = std::move(*server);
    const std::string url = server_->url();
    host_ = url.substr(7, url.size() - 8);
    port_ = static_cast<std::uint16_t>(
        std::stoi(host_.substr(host_.find(':') + 1)));
  }

  tcp::socket Connect() {
    tcp::socket socket(io_);
    socket.connect({net::ip::make_address("127.0.0.1"), port_});
    return socket;
  }

  using Request = http::request<http::string_body>;
  using Response = http::response<http::string_body>;

  Request RequestFor(http::verb verb, const std::string& target) const {
    Request request{verb, target, 11};
    request.set(http::field::host, host_);
    return request;
  }

  Response Ask(Request request) {
    tcp::socket socket = Connect();
    request.prepare_payload();
    http::write(socket, request);
    beast::flat_buffer buffer;
    Response response;
    http::read(socket, buffer, response);
    return response;
  }

  Response Get(const std::string& target, const std::string& host) {
    Request request = RequestFor(http::verb::get, target);
    request.set(http::field::host, host);
    return Ask(std::move(request));
  }

  // What the door answers to a code.
  Response Enter(const std::string& code) {
    Request request = RequestFor(http::verb::post, "/enter");
    request.set(http::field::origin, "http://" + host_);
    request.body() = "code=" + code;
    return Ask(std::move(request));
  }

  // The cookie that a right code gives, as a browser sends it back.
  std::string CookieFor(const std::string& code) {
    const std::string cookie(Enter(code)[http::field::set_cookie]);
    return cookie.substr(0, cookie.find(';'));
  }

  using Page = websocket::stream<tcp::socket>;

  // A page that has joined, or nullopt when it was refused.
  std::optional<Page> Join(const std::string& host, const std::string& origin,
                           const std::string& cookie = "") {
    Page page(Connect());
    page.set_option(websocket::stream_base::decorator(
        [&](websocket::request_type& request) {
          if (!origin.empty()) request.set(http::field::origin, origin);
          if (!cookie.empty()) request.set(http::field::cookie, cookie);
        }));
    beast::error_code error;
    page.handshake(host, "/live", error);
    if (error) return std::nullopt;
    return page;
  }
  std::optional<Page> Join() { return Join(host_, "http://" + host_); }
  std::optional<Page> JoinWith(const std::string& cookie) {
    return Join(host_, "http://" + host_, cookie);
  }

  // Returns once the page is surely among the hub's listeners: its answer to
  // nonsense comes after that.
  static void AwaitListening(Page& page) {
    page.write(net::buffer(std::string("{}")));
    while (Json::parse(Next(page))["type"] != "refused") {
    }
  }

  static std::string Next(Page& page) {
    beast::flat_buffer buffer;
    page.read(buffer);
    return beast::buffers_to_string(buffer.data());
  }

  // The "n" of each message until one has the type `last`.
  static std::vector<int> NumbersUntil(Page& page, const std::string& last) {
    std::vector<int> numbers;
    for (;;) {
      const Json message = Json::parse(Next(page));
      if (message.contains("n")) numbers.push_back(message["n"]);
      if (message["type"] == last) return numbers;
    }
  }

  static std::string Message(const char* type, int n) {
    return Json{{"type", type}, {"n", n}}.dump();
  }

  net::io_context io_;
  LiveHub hub_;
  std::unique_ptr<PageServer> server_;
  std::string host_;
  std::uint16_t port_ = 0;
};

}  // namespace masseter::server_testing

#endif  // MASSETER_PAGES_SERVER_TESTING_H_
