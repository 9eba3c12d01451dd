#include "pages/server.h"

#include <exception>
#include <thread>
#include <utility>

// After <utility>, which Boost 1.74's Asio misses with g++ 12.
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>

#include "pages/connection.h"
#include "pages/network.h"

namespace masseter {
namespace {

namespace net = boost::asio;
using tcp = net::ip::tcp;
using boost::system::error_code;

// One sentence for an address that could not be taken, with its cure.
std::string WhyNot(const error_code& error) {
  if (error == net::error::address_in_use) {
    return "another program already listens there; choose another port, or "
           "port 0 for any free one";
  }
  if (error == net::error::access_denied) {
    return "this port is reserved for the system; choose one above 1023";
  }
  if (error.value() == EADDRNOTAVAIL) {
    return "this machine does not have that address";
  }
  return "cannot listen there: " + error.message();
}

}  // namespace

class PageServer::Impl {
 public:
  Impl(ListenAddress listen, LiveHub& hub, const PageServerOptions& options)
      : listen_(std::move(listen)),
        shared_{hub,
                options,
                Gate(listen_, options.host_names),
                std::nullopt,
                Places(options.max_connections, options.max_connections_each),
                EmbeddedAssets()},
        acceptor_(io_),
        pause_(io_) {}

  Expected<void> Open() {
    error_code error;
    const tcp::endpoint endpoint(net::ip::make_address(listen_.host, error),
                                 listen_.port);
    if (!error) acceptor_.open(endpoint.protocol(), error);
    if (!error) acceptor_.set_option(tcp::acceptor::reuse_address(true), error);
    if (!error) acceptor_.bind(endpoint, error);
    if (!error)
      acceptor_.listen(net::socket_base::max_listen_connections, error);
    if (error) return MachineFailure(listen_.Text(), WhyNot(error));
    listen_.port = acceptor_.local_endpoint(error).port();
    shared_.gate = Gate(listen_, shared_.options.host_names);
    if (shared_.options.codes) shared_.door.emplace(*shared_.options.codes);
    return {};
  }

  void Run() {
    Accept();
    thread_ = std::thread([this] { Serve(); });
  }

  void Stop() {
    if (!thread_.joinable()) return;
    net::post(io_, [this] {
      for (const auto& weak : connections_) {
        if (const auto connection = weak.lock()) connection->Stop();
      }
      io_.stop();
    });
    thread_.join();
  }

  const ListenAddress& listen() const { return listen_; }
  const std::optional<AccessCodes>& codes() const {
    return shared_.options.codes;
  }
  std::vector<ShareLink> links() const { return shared_.links(); }

 private:
  // A handler that throws (no memory left) takes its own connection with it,
  // which it held; the others go on.
  void Serve() {
    for (bool again = true; again;) {
      try {
        io_.run();
        again = false;
      } catch (const std::exception&) {
      }
    }
  }

  void Accept() {
    acceptor_.async_accept([this](error_code error, tcp::socket socket) {
      if (error) return AcceptLater();
      std::erase_if(connections_, [](const auto& w) { return w.expired(); });
      error_code ignored;
      socket.set_option(tcp::no_delay(true), ignored);
      Begin(std::move(socket));
      Accept();
    });
  }

  // Out of file descriptors, most likely: try again shortly.
  void AcceptLater() {
    pause_.expires_after(std::chrono::milliseconds(100));
    pause_.async_wait([this](error_code error) {
      if (!error) Accept();
    });
  }

  void Begin(tcp::socket socket) {
    error_code error;
    const auto peer = socket.remote_endpoint(error).address();
    if (error) return;  // gone already
    Visitor visitor{NetworkOf(peer), peer.is_loopback(), {}};
    auto place = shared_.places.Take(visitor.network, visitor.loopback);
    if (!place) return;
    const auto connection = std::make_shared<HttpConnection>(
        boost::beast::tcp_stream(std::move(socket)), shared_,
        std::move(visitor), std::move(*place),
        [this](std::weak_ptr<Connection> live) {
          connections_.push_back(std::move(live));
        });
    connections_.push_back(connection);
    connection->Read();
  }

  ListenAddress listen_;
  Shared shared_;  // outlives the handlers that io_ still holds when it goes
  net::io_context io_{1};
  tcp::acceptor acceptor_;
  net::steady_timer pause_;
  std::vector<std::weak_ptr<Connection>> connections_;
  std::thread thread_;
};

Expected<std::unique_ptr<PageServer>> PageServer::Start(
    std::string_view listen, LiveHub& hub, const PageServerOptions& options) {
  Expected<ListenAddress> address = ParseListen(listen);
  if (!address) return tl::unexpected<Error>(address.error());
  if (!options.codes && !address->loopback()) {
    return BadInput("--listen " + std::string(listen),
                    "other machines could open the pages there; give --share "
                    "too, which asks every visitor for a code");
  }
  auto impl = std::make_unique<Impl>(std::move(*address), hub, options);
  if (Expected<void> open = impl->Open(); !open) {
    return tl::unexpected<Error>(open.error());
  }
  impl->Run();
  return std::unique_ptr<PageServer>(new PageServer(std::move(impl)));
}

PageServer::PageServer(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}

PageServer::~PageServer() { impl_->Stop(); }

std::string PageServer::url() const { return impl_->listen().Url(); }

std::vector<ShareLink> PageServer::links() const { return impl_->links(); }

const std::optional<AccessCodes>& PageServer::codes() const {
  return impl_->codes();
}

}  // namespace masseter
