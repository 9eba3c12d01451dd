#include <charconv>
#include <optional>

#include "device/sink.h"

namespace masseter {
namespace {

constexpr const char* kForms =
    "a sink is file:PATH, tcp:PORT, udp:HOST:PORT, pty or - (standard output)";

std::optional<int> Port(std::string_view text) {
  int port = -1;
  const char* end = text.data() + text.size();
  const auto [at, error] = std::from_chars(text.data(), end, port);
  if (error != std::errc() || at != end || port < 0 || port > 65535) {
    return std::nullopt;
  }
  return port;
}

tl::unexpected<Error> Bad(const std::string& text, const std::string& why) {
  return BadInput("--to", "\"" + text + "\" " + why + "; " + kForms);
}

}  // namespace

Expected<SinkName> ParseSinkName(const std::string& text) {
  SinkName name;
  name.text = text;
  if (text == "-") return name;
  if (text == "pty") {
    name.kind = SinkName::Kind::kPty;
    return name;
  }
  const std::size_t colon = text.find(':');
  if (colon == std::string::npos) return Bad(text, "is no sink");
  const std::string kind = text.substr(0, colon);
  const std::string rest = text.substr(colon + 1);
  if (kind == "file") {
    if (rest.empty()) return Bad(text, "names no file");
    name.kind = SinkName::Kind::kFile;
    name.path = rest;
    return name;
  }
  if (kind == "tcp") {
    const auto port = Port(rest);
    if (!port) return Bad(text, "has no port from 0 to 65535");
    name.kind = SinkName::Kind::kTcp;
    name.port = *port;
    return name;
  }
  if (kind == "udp") {
    const std::size_t last = rest.rfind(':');
    const auto port = last == std::string::npos
                          ? std::nullopt
                          : Port(std::string_view(rest).substr(last + 1));
    if (!port || *port == 0) return Bad(text, "has no port from 1 to 65535");
    name.kind = SinkName::Kind::kUdp;
    name.host = rest.substr(0, last);
    if (name.host.size() > 2 && name.host.front() == '[' &&
        name.host.back() == ']') {
      name.host = name.host.substr(1, name.host.size() - 2);
    }
    if (name.host.empty()) return Bad(text, "names no host");
    name.port = *port;
    return name;
  }
  return Bad(text, "is no sink");
}

}  // namespace masseter
