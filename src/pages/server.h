// The pages' server: the embedded page at "/", the WebSocket "/live" that
// joins it to a LiveHub. HTTP without TLS: it is meant for the recording
// machine itself and a field's own network.
//
// Thread rule: Start and the destructor belong to one thread; everything else
// is safe for concurrent access. The server runs one thread of its own; no
// exception leaves it.
#ifndef MASSETER_PAGES_SERVER_H_
#define MASSETER_PAGES_SERVER_H_

#include <chrono>
#include <cstddef>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "app/live_hub.h"
#include "core/base/error.h"

namespace masseter {

struct PageServerOptions {
  // Further names under which the pages may be called, lower case.
  std::vector<std::string> host_names = {};
  // Whoever opens a page operates, not only this machine. For a network of
  // one's own.
  bool anyone_operates = false;
  // Connections at one time; more are closed at once.
  std::size_t max_connections = 256;
  // What may wait for one slow page: trace messages, and bytes of anything.
  std::size_t waiting_traces = 100;
  std::size_t waiting_bytes = 8U << 20U;
  // The longest action a page may send, bytes.
  std::size_t action_bytes = 4096;
  // Silence after which a connection is closed. A page is asked for a sign of
  // life (ping) at half of it.
  std::chrono::milliseconds silence{20000};
};

class PageServer {
 public:
  // Listens on `listen` ("127.0.0.1:8600"; port 0 takes any free one) and
  // serves until the object goes. `hub` must outlive it. kBadInput for an
  // address that is none, kMachine when it cannot be taken.
  static Expected<std::unique_ptr<PageServer>> Start(
      std::string_view listen, LiveHub& hub,
      const PageServerOptions& options = {});

  // Closes every connection and waits for its thread.
  ~PageServer();
  PageServer(const PageServer&) = delete;
  PageServer& operator=(const PageServer&) = delete;

  // What to open in a browser on this machine: "http://127.0.0.1:8600/".
  std::string url() const;

 private:
  class Impl;
  explicit PageServer(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace masseter

#endif  // MASSETER_PAGES_SERVER_H_
