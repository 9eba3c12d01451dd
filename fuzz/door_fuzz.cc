// Arbitrary bytes as one HTTP request to shared pages, by a visitor who has no
// code, and again with an onlooker's session added. What must hold:
//   - without a session there is nothing but the door or a refusal: no byte of
//     the page, no cookie, no way to /live;
//   - with an onlooker's session nobody becomes an operator;
//   - no answer holds a code, and no header a line break of the visitor's;
//   - no other site, by Host or by Origin, is let in with a session either.
// The codes are random in every run, so no input can hold one.
#include <boost/asio/buffer.hpp>
#include <boost/beast/http.hpp>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <optional>
#include <string>

#include "pages/http_answer.h"

namespace masseter {
namespace {

namespace http = boost::beast::http;

void Require(bool holds) {
  if (!holds) std::abort();
}

const Asset kAssets[] = {
    {"/", "text/html", "\"aa\"", false, "SECRET", "SECRET", false},
    {"/door", "text/html", "\"dd\"", false, "D<!--said-->", "D", true},
    {"/door-1234ABCD.js", "text/javascript", "\"ee\"", true, "E", "E", true},
    {"/app-1234ABCD.js", "text/javascript", "\"bb\"", true, "SECRET", "SECRET",
     false}};

const AccessCodes& Codes() {
  static const AccessCodes codes = NewAccessCodes().value();
  return codes;
}

// The request of these bytes, or none where they are not a whole one.
std::optional<HttpRequest> Parsed(const std::string& bytes) {
  http::request_parser<http::string_body> parser;
  parser.header_limit(8192);
  parser.body_limit(1024);
  parser.eager(true);
  boost::beast::error_code error;
  std::size_t at = 0;
  while (!error && !parser.is_done() && at < bytes.size()) {
    const std::size_t used = parser.put(
        boost::asio::buffer(bytes.data() + at, bytes.size() - at), error);
    if (used == 0) break;
    at += used;
  }
  if (error || !parser.is_done()) return std::nullopt;
  return parser.release();
}

bool Holds(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

void CheckWords(const HttpResponse& response) {
  std::string all = response.body();
  for (const auto& field : response.base()) {
    const std::string value(field.value());
    Require(!Holds(value, "\r") && !Holds(value, "\n"));
    all += "\n" + value;
  }
  Require(!Holds(all, Codes().operate) && !Holds(all, Codes().look_on));
  Require(!response["X-Content-Type-Options"].empty());
  Require(Holds(std::string(response["Content-Security-Policy"]),
                "frame-ancestors 'none'"));
}

void CheckOutside(const HttpRequest& request, const Gate& gate) {
  Door door(Codes());
  const Site site{gate, &door, kAssets};
  const Visitor visitor{"192.0.2.9", false, {}};
  const HttpResponse answer = Answer(request, visitor, site);
  CheckWords(answer);
  Require(!Holds(answer.body(), "SECRET"));
  Require(answer["Set-Cookie"].empty());
  if (answer.result() == http::status::ok && !answer.body().empty()) {
    Require(answer.body() == "D" || answer.body() == "E");
  }
  const auto role = Admit(request, visitor, site);
  Require(!role);
  CheckWords(role.error());
}

void CheckOnlooker(HttpRequest request, const Gate& gate) {
  Door door(Codes());
  const Site site{gate, &door, kAssets};
  const Visitor visitor{"192.0.2.9", false, {}};
  const std::string token =
      door.Enter(Codes().look_on, visitor.network, visitor.now).token;
  const std::string before(request[http::field::cookie]);
  request.set(http::field::cookie,
              before + (before.empty() ? "" : "; ") + "masseter_8600=" + token);
  const HttpResponse answer = Answer(request, visitor, site);
  CheckWords(answer);
  const auto role = Admit(request, visitor, site);
  const std::string host(request[http::field::host]);
  const std::string origin(request[http::field::origin]);
  if (!role) return CheckWords(role.error());
  Require(*role == PageRole::kOnlooker);
  Require(gate.HostAllowed(host));
  Require(origin.empty() || origin == "http://" + host);
}

// Names that a browser could have been made to call (DNS rebinding).
void CheckHost(const std::string& host, const Gate& gate) {
  if (!gate.HostAllowed(host)) return;
  for (const char c : host) {
    const bool numeric = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f') ||
                         (c >= 'A' && c <= 'F') || c == '.' || c == ':' ||
                         c == '[' || c == ']';
    if (numeric) continue;
    // The one name that is none.
    std::string name = host.substr(0, host.find(':'));
    for (char& letter : name) letter = static_cast<char>(letter | 0x20);
    Require(name == "localhost");
    return;
  }
}

}  // namespace
}  // namespace masseter

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  using namespace masseter;
  const auto request = Parsed(std::string(data, data + size));
  if (!request) return 0;
  const Gate gate({"0.0.0.0", 8600}, {});
  CheckHost(std::string((*request)[http::field::host]), gate);
  CheckOutside(*request, gate);
  CheckOnlooker(*request, gate);
  return 0;
}
