// Who may see the pages and who may operate the recorder. The one place that
// decides: access codes for more operators come in here.
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
  // "127.0.0.1:8600", "[::1]:8600"
  std::string Text() const;
  // What a browser on this machine opens: "http://127.0.0.1:8600/".
  std::string Url() const;
};

// Reads "127.0.0.1:8600", "localhost:0" or "[::1]:8600". Names other than
// localhost are refused: which address they mean depends on the network.
Expected<ListenAddress> ParseListen(std::string_view text);

enum class Role {
  kOnlooker,  // sees everything, changes nothing
  kOperator,  // may also say who is up, give "out", set zero, add a dog
};

// What is known of whoever opened a connection.
struct Visitor {
  bool loopback = false;  // came from this machine
};

class Gate {
 public:
  // `listen` with the port that was really taken; `names` are further host
  // names under which the pages may be called ("laptop.local").
  // With `anyone_operates` whoever opens the page is the operator.
  Gate(ListenAddress listen, std::vector<std::string> names,
       bool anyone_operates = false);

  // True when a Host header names this server: localhost, a loopback address,
  // the address it listens on, one of `names`, or, when it listens on every
  // address, any numeric one (a number cannot be rebound). The port must fit.
  bool HostAllowed(std::string_view host) const;

  // True when a WebSocket's Origin is a page of this very server. Only a
  // browser sends one, so a missing Origin ("") is no page of a stranger.
  bool OriginAllowed(std::string_view origin, std::string_view host) const;

  // Whoever sits at the recording machine operates it, and others only when
  // that was asked for.
  Role RoleOf(const Visitor& visitor) const;

 private:
  ListenAddress listen_;
  std::vector<std::string> names_;
  bool anyone_operates_;
};

}  // namespace masseter

#endif  // MASSETER_PAGES_GATE_H_
