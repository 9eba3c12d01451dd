// One browser's connection: HTTP requests one after another, and, when it asks
// for /live, the WebSocket that the connection becomes.
//
// Thread rule: everything runs on the server's one thread, except the hub's
// listener, which only hands messages over to it.
#ifndef MASSETER_PAGES_CONNECTION_H_
#define MASSETER_PAGES_CONNECTION_H_

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>

// After <utility>, which Boost 1.74's Asio misses with g++ 12.
#include <boost/asio/steady_timer.hpp>
#include <boost/beast/core.hpp>
#include <boost/beast/websocket.hpp>
#include <span>
#include <string>

#include "app/live_hub.h"
#include "pages/assets.h"
#include "pages/door.h"
#include "pages/gate.h"
#include "pages/http_answer.h"
#include "pages/outbox.h"
#include "pages/places.h"
#include "pages/rate_limit.h"
#include "pages/server.h"
#include "pages/share_links.h"

namespace masseter {

// What all connections of one server share; outlives them.
struct Shared {
  LiveHub& hub;
  PageServerOptions options;
  Gate gate;
  std::optional<Door> door;  // with options.codes
  Places places;
  std::span<const Asset> assets;

  // For operators; the network may change while the recorder runs.
  std::vector<ShareLink> links() const {
    if (!options.codes) return {};
    return ShareLinks(gate.listen(), *options.codes);
  }

  Site site() { return {gate, door ? &*door : nullptr, assets}; }
};

// Anything the server must be able to close.
class Connection {
 public:
  virtual ~Connection() = default;
  // Leaves the hub and closes the socket; no handler runs on after it.
  virtual void Stop() = 0;
};

// A WebSocket between one page and the hub. Held by its own pending reads and
// writes (shared_ptr: Asio's handlers are its only owners).
class LiveConnection : public Connection,
                       public std::enable_shared_from_this<LiveConnection> {
 public:
  LiveConnection(boost::beast::tcp_stream stream, Shared& shared, PageRole role,
                 Places::Place place);
  ~LiveConnection() override;
  void Accept(const HttpRequest& request);
  void Stop() override;

 private:
  using Error = boost::beast::error_code;
  void Join();
  void Read();
  void ReadNow();
  void Act(const std::string& json);
  void Queue(Outbox::Text text);
  void Write();
  Outbox::Text WholeTrace();

  boost::beast::websocket::stream<boost::beast::tcp_stream> socket_;
  Shared& shared_;
  PageRole role_;
  Places::Place place_;
  TokenBucket actions_;
  TokenBucket pings_;
  boost::asio::steady_timer pause_;  // until the next action may be read
  Outbox outbox_;
  Outbox::Text sending_;
  boost::beast::flat_buffer buffer_;
  std::optional<std::uint64_t> subscription_;
  bool stopped_ = false;
};

// HTTP on one socket until it closes or becomes a LiveConnection.
class HttpConnection : public Connection,
                       public std::enable_shared_from_this<HttpConnection> {
 public:
  // `adopt` hands the server a connection that this one became.
  using Adopt = std::function<void(std::weak_ptr<Connection>)>;
  HttpConnection(boost::beast::tcp_stream stream, Shared& shared,
                 Visitor visitor, Places::Place place, Adopt adopt);
  void Read();
  void Stop() override;

 private:
  using Error = boost::beast::error_code;
  void Handle();
  void Upgrade();
  void Send(HttpResponse response);

  boost::beast::tcp_stream stream_;
  Shared& shared_;
  Visitor visitor_;
  std::optional<Places::Place> place_;  // until it becomes a LiveConnection
  Adopt adopt_;
  boost::beast::flat_buffer buffer_;
  std::optional<
      boost::beast::http::request_parser<boost::beast::http::string_body>>
      parser_;
  HttpResponse response_;
};

}  // namespace masseter

#endif  // MASSETER_PAGES_CONNECTION_H_
