#include <charconv>
#include <optional>
#include <string_view>
#include <system_error>

#include "device/number_text.h"
#include "device/seen_payloads.h"
#include "device/source.h"

namespace masseter {
namespace {

constexpr const char* kForms =
    "; a source is serial:PATH@BAUD, tcp:HOST:PORT, udp:PORT, "
    "mqtt:HOST/TOPIC, file:PATH or - (standard input)";

constexpr int kHighestBaud = 20'000'000;

tl::unexpected<Error> Refuse(const std::string& text, const std::string& why) {
  return BadInput("", Quoted(text) + " " + why + kForms);
}

// A whole number from 1 to `most`, digits only.
std::optional<int> WholeNumber(std::string_view text, int most) {
  int value = 0;
  const char* end = text.data() + text.size();
  const auto [at, error] = std::from_chars(text.data(), end, value);
  if (error != std::errc() || at != end || value < 1 || value > most) {
    return std::nullopt;
  }
  return value;
}

Expected<SourceName> ParseSerial(SourceName name, std::string_view rest) {
  name.kind = SourceName::Kind::kSerial;
  const std::size_t at = rest.rfind('@');
  if (at != rest.npos) {
    const auto baud = WholeNumber(rest.substr(at + 1), kHighestBaud);
    if (!baud) return Refuse(name.text, "has no baud rate after the @");
    name.baud = *baud;
  }
  name.path = rest.substr(0, at);
  if (name.path.empty()) return Refuse(name.text, "names no port");
  return name;
}

// The host of "HOST" or "[IPv6]"; nullopt when it is not clear.
std::optional<std::string_view> HostOf(std::string_view host) {
  const bool bracketed =
      host.size() > 2 && host.front() == '[' && host.back() == ']';
  if (bracketed) return host.substr(1, host.size() - 2);
  if (host.find_first_of("[]:") != host.npos) return std::nullopt;
  return host;
}

Expected<SourceName> ParseMqtt(SourceName name, std::string_view rest) {
  constexpr int kMqttPort = 1883;  // IANA's
  name.kind = SourceName::Kind::kMqtt;
  name.seen = std::make_shared<SeenPayloads>();
  const std::size_t slash = rest.find('/');
  if (slash == rest.npos || slash + 1 == rest.size()) {
    return Refuse(name.text, "names no topic");
  }
  name.path = rest.substr(slash + 1);
  if (name.path.find_first_of("+#") != name.path.npos) {
    return Refuse(name.text, "names many topics; one sleeve has one");
  }
  std::string_view host = rest.substr(0, slash);
  name.port = kMqttPort;
  const std::size_t colon = host.rfind(':');
  if (colon != host.npos && host.back() != ']') {
    const auto port = WholeNumber(host.substr(colon + 1), 65535);
    if (!port) return Refuse(name.text, "has no port from 1 to 65535");
    name.port = *port;
    host = host.substr(0, colon);
  }
  const auto bare = HostOf(host);
  if (!bare) {
    return Refuse(name.text,
                  "is not clear: an IPv6 address stands in brackets, "
                  "mqtt:[::1]/topic");
  }
  if (bare->empty()) return Refuse(name.text, "names no host");
  name.host = *bare;
  return name;
}

Expected<SourceName> ParseTcp(SourceName name, std::string_view rest) {
  name.kind = SourceName::Kind::kTcp;
  const std::size_t colon = rest.rfind(':');
  if (colon == rest.npos) return Refuse(name.text, "has no port number");
  const auto host = HostOf(rest.substr(0, colon));
  if (!host) {
    return Refuse(name.text,
                  "is not clear: an IPv6 address stands in brackets, "
                  "tcp:[::1]:5000");
  }
  if (host->empty()) return Refuse(name.text, "names no host");
  const auto port = WholeNumber(rest.substr(colon + 1), 65535);
  if (!port) return Refuse(name.text, "has no port from 1 to 65535");
  name.host = *host;
  name.port = *port;
  return name;
}

}  // namespace

Expected<SourceName> ParseSourceName(const std::string& text) {
  SourceName name;
  name.text = text;
  if (text == "-") return name;
  const std::string_view all = text;
  const std::size_t colon = all.find(':');
  const std::string_view kind = all.substr(0, colon);
  const std::string_view rest =
      colon == all.npos ? std::string_view() : all.substr(colon + 1);
  if (colon != all.npos && kind == "serial") {
    return ParseSerial(std::move(name), rest);
  }
  if (colon != all.npos && kind == "tcp") {
    return ParseTcp(std::move(name), rest);
  }
  if (colon != all.npos && kind == "mqtt") {
    return ParseMqtt(std::move(name), rest);
  }
  if (colon != all.npos && kind == "udp") {
    name.kind = SourceName::Kind::kUdp;
    const auto port = WholeNumber(rest, 65535);
    if (!port) return Refuse(text, "has no port from 1 to 65535");
    name.port = *port;
    return name;
  }
  if (colon != all.npos && kind == "file") {
    name.kind = SourceName::Kind::kFile;
    name.path = rest;
    if (rest.empty()) return Refuse(text, "names no file");
    return name;
  }
  return Refuse(text, "is not a source");
}

}  // namespace masseter
