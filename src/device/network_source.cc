#include <netinet/in.h>
#include <netinet/tcp.h>

#include <cstdint>
#include <utility>
//
#include <boost/asio/buffer.hpp>
#include <boost/asio/connect.hpp>
#include <boost/asio/error.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ip/udp.hpp>
#include <boost/asio/ip/v6_only.hpp>
#include <boost/asio/steady_timer.hpp>

#include "device/send_queue.h"
#include "device/source_session.h"

namespace masseter {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using asio::ip::udp;
using boost::system::error_code;

constexpr std::chrono::seconds kConnectLimit{10};

std::string WhyNotConnected(error_code error) {
  if (error == asio::error::connection_refused) {
    return "nothing listens there; is the sleeve on and the port right";
  }
  if (error == asio::error::host_not_found ||
      error == asio::error::host_not_found_try_again ||
      error == asio::error::no_data) {
    return "no host of this name; try its number, as in tcp:192.168.4.1:5000";
  }
  if (error == asio::error::host_unreachable ||
      error == asio::error::network_unreachable) {
    return "not reachable; is this computer in the sleeve's network";
  }
  return "cannot be reached: " + error.message();
}

class TcpSession : public SourceSession {
 public:
  TcpSession(asio::io_context& io, const SourceName& name)
      : SourceSession(io),
        host_(name.host),
        port_(std::to_string(name.port)),
        where_(name.text.substr(name.text.find(':') + 1)),
        resolver_(io),
        socket_(io),
        limit_(io) {}

  void Send(std::span<const std::uint8_t> bytes) override {
    if (up_) queue_.Send(bytes, shared_from_this());
  }

 private:
  void Begin() override {
    limit_.expires_after(kConnectLimit);
    limit_.async_wait([this, self = shared_from_this()](error_code error) {
      if (!error && !up_) Fail("no answer within 10 s; is the sleeve on");
    });
    resolver_.async_resolve(
        host_, port_,
        [this, self = shared_from_this()](
            error_code error, const tcp::resolver::results_type& found) {
          if (ended()) return;
          if (error) return Fail(WhyNotConnected(error));
          Connect(found);
        });
  }

  void Connect(const tcp::resolver::results_type& found) {
    asio::async_connect(
        socket_, found,
        [this, self = shared_from_this()](error_code error,
                                          const tcp::endpoint& peer) {
          if (ended()) return;
          if (error) return Fail(WhyNotConnected(error));
          // On one machine a port that nobody listens at can
          // be connected to itself.
          error_code ignored;
          if (socket_.local_endpoint(ignored) == peer) {
            return Fail(WhyNotConnected(asio::error::connection_refused));
          }
          up_ = true;
          limit_.cancel();
          WatchForSilence();
          Up("connected to " + Text(peer));
          Read();
        });
  }

  // A sleeve that loses its radio says nothing more, not even goodbye: the
  // system asks every 5 s and gives up after about 25 s.
  void WatchForSilence() {
    error_code ignored;
    socket_.set_option(asio::socket_base::keep_alive(true), ignored);
    const int fd = socket_.native_handle();
    const auto set = [fd](int option, int value) {
      setsockopt(fd, IPPROTO_TCP, option, &value, sizeof value);
    };
    set(TCP_KEEPIDLE, 10);
    set(TCP_KEEPINTVL, 5);
    set(TCP_KEEPCNT, 3);
  }

  void Read() {
    if (ended()) return;
    socket_.async_read_some(
        asio::buffer(buffer_),
        [this, self = shared_from_this()](error_code error, std::size_t n) {
          if (!Deliver(n, true)) return;
          if (error == asio::error::eof) return Fail(kDeviceClosed);
          if (error == asio::error::connection_reset) {
            return Fail("the device broke the connection off");
          }
          if (error == asio::error::timed_out) {
            return Fail("the device no longer answers");
          }
          if (error) return Fail("the connection was lost: " + error.message());
          Read();
        });
  }

  void Fail(const std::string& what) {
    End(Error{ErrorKind::kMachine, where_, what});
  }

  void Close() override {
    error_code ignored;
    resolver_.cancel();
    limit_.cancel();
    socket_.close(ignored);
  }

  static std::string Text(const tcp::endpoint& peer) {
    const std::string address = peer.address().to_string();
    return (peer.address().is_v6() ? "[" + address + "]" : address) + ":" +
           std::to_string(peer.port());
  }

  std::string host_;
  std::string port_;
  std::string where_;
  bool up_ = false;
  tcp::resolver resolver_;
  tcp::socket socket_;
  asio::steady_timer limit_;
  SendQueue<tcp::socket> queue_{socket_};
};

class UdpSession : public SourceSession {
 public:
  UdpSession(asio::io_context& io, const SourceName& name)
      : SourceSession(io),
        port_(static_cast<std::uint16_t>(name.port)),
        where_(name.text),
        socket_(io) {}

  // To whom the last datagram came from.
  void Send(std::span<const std::uint8_t> bytes) override {
    if (peer_.port() == 0 || !socket_.is_open()) return;
    error_code ignored;  // a datagram may be lost anyhow
    socket_.send_to(asio::buffer(bytes.data(), bytes.size()), peer_, 0,
                    ignored);
  }

 private:
  void Begin() override {
    if (const error_code error = Bind(); error) return Fail(WhyNot(error));
    error_code ignored;
    // A burst of a second or so must fit while the computer is busy.
    socket_.set_option(asio::socket_base::receive_buffer_size(4 << 20),
                       ignored);
    socket_.non_blocking(true, ignored);
    Up("listening on UDP port " + std::to_string(port_));
    Read();
  }

  // Both families on one socket, IPv4 alone where there is no IPv6.
  error_code Bind() {
    error_code error;
    socket_.open(udp::v6(), error);
    if (!error) socket_.set_option(asio::ip::v6_only(false), error);
    if (!error) socket_.bind(udp::endpoint(udp::v6(), port_), error);
    if (!error || error == asio::error::address_in_use ||
        error == asio::error::access_denied) {
      return error;
    }
    error_code ignored;
    socket_.close(ignored);
    error.clear();
    socket_.open(udp::v4(), error);
    if (!error) socket_.bind(udp::endpoint(udp::v4(), port_), error);
    return error;
  }

  static std::string WhyNot(error_code error) {
    if (error == asio::error::address_in_use) {
      return "the port is taken by another program; choose another one here "
             "and in the sleeve";
    }
    if (error == asio::error::access_denied) {
      return "ports below 1024 belong to the system; choose a higher one here "
             "and in the sleeve";
    }
    return "cannot listen: " + error.message();
  }

  void Read() {
    if (ended()) return;
    socket_.async_receive_from(
        asio::buffer(buffer_), peer_,
        [this, self = shared_from_this()](error_code error, std::size_t n) {
          if (!Deliver(n, true)) return;
          if (error) return Fail("receiving failed: " + error.message());
          Read();
        });
  }

  void Fail(const std::string& what) {
    End(Error{ErrorKind::kMachine, where_, what});
  }

  void Close() override {
    error_code ignored;
    socket_.close(ignored);
  }

  std::uint16_t port_;
  std::string where_;
  udp::socket socket_;
  udp::endpoint peer_;
};

}  // namespace

std::shared_ptr<SourceSession> MakeTcpSession(asio::io_context& io,
                                              const SourceName& name) {
  return std::make_shared<TcpSession>(io, name);
}

std::shared_ptr<SourceSession> MakeUdpSession(asio::io_context& io,
                                              const SourceName& name) {
  return std::make_shared<UdpSession>(io, name);
}

}  // namespace masseter
