// The pages' server: the embedded page at "/", the WebSocket "/live" that
// joins it to a LiveHub. HTTP without TLS: it is meant for the recording
// machine itself and, behind a door, a field's own network. docs/security.md
// says what it holds against whom.
//
// Thread rule: Start and the destructor belong to one thread; everything else
// is safe for concurrent access. The server runs one thread of its own; no
// exception leaves it.
#ifndef MASSETER_PAGES_SERVER_H_
#define MASSETER_PAGES_SERVER_H_

#include <chrono>
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "app/live_hub.h"
#include "core/base/error.h"
#include "pages/access_code.h"
#include "pages/share_links.h"

namespace masseter {

struct PageServerOptions {
  // Further names under which the pages may be called, lower case.
  std::vector<std::string> host_names = {};
  // With codes every visitor needs one of them, this machine too. Without, the
  // server is for this machine only and refuses any address but a loopback one.
  std::optional<AccessCodes> codes = {};
  // Connections at one time, of all and of one other machine; more are closed
  // at once.
  std::size_t max_connections = 256;
  std::size_t max_connections_each = 32;
  // What may wait for one slow page: trace messages, and bytes of anything.
  std::size_t waiting_traces = 100;
  std::size_t waiting_bytes = 8U << 20U;
  // The longest action a page may send, bytes, and how many it may: so many at
  // once, then so many a second. More wait unread until their time has come.
  std::size_t action_bytes = 4096;
  double actions_burst = 20.0;
  double actions_per_s = 10.0;
  // From one request's answer to the end of the next one, however its bytes
  // come; an answer may take as long as `silence`.
  std::chrono::milliseconds request_time{10000};
  // Silence after which a connection is closed. A page is asked for a sign of
  // life (ping) at half of it.
  std::chrono::milliseconds silence{20000};
};

class PageServer {
 public:
  // Listens on `listen` ("127.0.0.1:8600"; port 0 takes any free one) and
  // serves until the object goes. `hub` must outlive it. kBadInput for an
  // address that is none or that needs codes, kMachine when it cannot be taken.
  static Expected<std::unique_ptr<PageServer>> Start(
      std::string_view listen, LiveHub& hub,
      const PageServerOptions& options = {});

  // Closes every connection and waits for its thread.
  ~PageServer();
  PageServer(const PageServer&) = delete;
  PageServer& operator=(const PageServer&) = delete;

  // What to open in a browser on this machine: "http://127.0.0.1:8600/".
  std::string url() const;

  // The links under which others may open the pages now, the operator's first;
  // empty without codes or without a network. They hold the codes: for the one
  // who asked for them, not for a log.
  std::vector<ShareLink> links() const;
  const std::optional<AccessCodes>& codes() const;

 private:
  class Impl;
  explicit PageServer(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace masseter

#endif  // MASSETER_PAGES_SERVER_H_
