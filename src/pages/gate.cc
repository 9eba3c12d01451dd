#include "pages/gate.h"

#include <algorithm>
#include <charconv>
#include <optional>
#include <utility>

// Boost 1.74's Asio misses this include with g++ 12.
#include <boost/asio/ip/address.hpp>

namespace masseter {
namespace {

namespace ip = boost::asio::ip;

struct HostPort {
  std::string host;  // lower case, without brackets
  std::string_view port;
};

// Splits "name:port", "[v6]:port" or either without a port.
std::optional<HostPort> Split(std::string_view text) {
  std::string_view host;
  std::string_view rest;
  if (!text.empty() && text.front() == '[') {
    const std::size_t close = text.find(']');
    if (close == std::string_view::npos) return std::nullopt;
    host = text.substr(1, close - 1);
    rest = text.substr(close + 1);
  } else {
    const std::size_t colon = text.find(':');
    host = text.substr(0, colon);
    if (colon != std::string_view::npos) rest = text.substr(colon);
  }
  if (host.empty() || (!rest.empty() && rest.front() != ':')) {
    return std::nullopt;
  }
  HostPort split{std::string(host), rest.empty() ? rest : rest.substr(1)};
  for (char& c : split.host) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return split;
}

std::optional<std::uint16_t> ReadPort(std::string_view text) {
  std::uint16_t port = 0;
  const auto [end, error] =
      std::from_chars(text.data(), text.data() + text.size(), port);
  if (text.empty() || error != std::errc() ||
      end != text.data() + text.size()) {
    return std::nullopt;
  }
  return port;
}

}  // namespace

bool ListenAddress::loopback() const {
  boost::system::error_code error;
  const ip::address address = ip::make_address(host, error);
  return !error && address.is_loopback();
}

std::string ListenAddress::Text() const {
  const bool v6 = host.find(':') != std::string::npos;
  return (v6 ? "[" + host + "]" : host) + ":" + std::to_string(port);
}

std::string ListenAddress::Url() const {
  ListenAddress shown = *this;
  if (any()) shown.host = host == "::" ? "::1" : "127.0.0.1";
  return "http://" + shown.Text() + "/";
}

Expected<ListenAddress> ParseListen(std::string_view text) {
  const auto refuse = [text](std::string what) {
    return BadInput(std::string(text), std::move(what));
  };
  const std::optional<HostPort> split = Split(text);
  const std::optional<std::uint16_t> port =
      split ? ReadPort(split->port) : std::nullopt;
  if (!port) {
    return refuse(
        "is not an address and a port; write for example 127.0.0.1:8600");
  }
  ListenAddress listen{split->host, *port};
  if (listen.host == "localhost") listen.host = "127.0.0.1";
  boost::system::error_code error;
  const ip::address address = ip::make_address(listen.host, error);
  if (error) {
    return refuse(
        "needs a numeric address of this machine, such as 127.0.0.1 for "
        "itself only or 0.0.0.0 for every network it is in");
  }
  listen.host = address.to_string();
  return listen;
}

Gate::Gate(ListenAddress listen, std::vector<std::string> names)
    : listen_(std::move(listen)), names_(std::move(names)) {}

bool Gate::HostAllowed(std::string_view host) const {
  const std::optional<HostPort> split = Split(host);
  if (!split) return false;
  const std::string_view port = split->port.empty() ? "80" : split->port;
  if (ReadPort(port) != listen_.port) return false;
  const std::string& name = split->host;
  if (name == "localhost" || name == listen_.host) return true;
  if (std::find(names_.begin(), names_.end(), name) != names_.end()) {
    return true;
  }
  // An IPv6 zone may be any text.
  if (name.find('%') != std::string::npos) return false;
  boost::system::error_code error;
  const ip::address address = ip::make_address(name, error);
  return !error && (address.is_loopback() || listen_.any());
}

bool Gate::OriginAllowed(std::string_view origin, std::string_view host) const {
  if (origin.empty()) return true;
  constexpr std::string_view kScheme = "http://";
  if (origin.substr(0, kScheme.size()) != kScheme) return false;
  return origin.substr(kScheme.size()) == host && HostAllowed(host);
}

}  // namespace masseter
