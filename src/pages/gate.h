// Under which names these pages may be called, and from which pages. What a
// visitor may do once here is the door's business (door.h).
//
// A page on the open internet can make a visitor's browser call this server
// under a name of its own choosing (DNS rebinding) or open a WebSocket to it.
// Both are refused here: the first by the Host header, the second by Origin.
//
// Thread rule: a Gate does not change after it is made; safe for concurrent
// access.
#ifndef MASSETER_PAGES_GATE_H_
#define MASSETER_PAGES_GATE_H_

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/error.h"

namespace masseter {

// Where to listen: a numeric address and a port, 0 for any free one.
struct ListenAddress {
  std::string host;  // "127.0.0.1", "::1", "0.0.0.0", without brackets
  std::uint16_t port = 0;

  bool any() const { return host == "0.0.0.0" || host == "::"; }
  // True when only this machine can call it.
  bool loopback() const;
  // "127.0.0.1:8600", "[::1]:8600"
  std::string Text() const;
  // What a browser on this machine opens: "http://127.0.0.1:8600/".
  std::string Url() const;
};

// Reads "127.0.0.1:8600", "localhost:0" or "[::1]:8600". Names other than
// localhost are refused: which address they mean depends on the network.
Expected<ListenAddress> ParseListen(std::string_view text);

class Gate {
 public:
  // `listen` with the port that was really taken; `names` are further host
  // names under which the pages may be called ("laptop.local").
  Gate(ListenAddress listen, std::vector<std::string> names);

  // True when a Host header names this server: localhost, a loopback address,
  // the address it listens on, one of `names`, or, when it listens on every
  // address, any numeric one (a number cannot be rebound). The port must fit.
  bool HostAllowed(std::string_view host) const;

  // True when the Origin of a WebSocket or a POST is a page of this very
  // server. Browsers always send one with these, so a missing Origin ("") is no
  // page of a stranger.
  bool OriginAllowed(std::string_view origin, std::string_view host) const;

  const ListenAddress& listen() const { return listen_; }
  std::uint16_t port() const { return listen_.port; }

 private:
  ListenAddress listen_;
  std::vector<std::string> names_;
};

}  // namespace masseter

#endif  // MASSETER_PAGES_GATE_H_
