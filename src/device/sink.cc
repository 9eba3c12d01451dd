// <utility> must come before Boost.Asio 1.74 on g++ 12.
#include <utility>
//
#include <fcntl.h>
#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ip/udp.hpp>
#include <cerrno>
#include <cstdint>
#include <cstring>

#include "device/pty_sink.h"
#include "device/sink.h"

namespace masseter {
namespace {

using boost::asio::ip::tcp;
using boost::asio::ip::udp;
using boost::system::error_code;

class FileSink : public Sink {
 public:
  FileSink(int fd, bool owns, std::string path)
      : fd_(fd), owns_(owns), path_(std::move(path)) {}
  ~FileSink() override {
    if (owns_) close(fd_);
  }
  std::string Address() const override { return ""; }
  Expected<bool> WaitForReader(const std::atomic<bool>& stop) override {
    return !stop;
  }
  Expected<bool> Write(std::string_view text,
                       const std::atomic<bool>& stop) override {
    return WriteAll(fd_, text, path_, stop);
  }
  void Drain(const std::atomic<bool>&) override {}

 private:
  int fd_;
  bool owns_;
  std::string path_;
};

// Serves the first client that comes.
class TcpSink : public Sink {
 public:
  TcpSink() : acceptor_(io_), client_(io_) {}

  Expected<void> Listen(const SinkName& name) {
    const tcp::endpoint at(boost::asio::ip::address_v4::loopback(),
                           static_cast<std::uint16_t>(name.port));
    error_code error;
    acceptor_.open(at.protocol(), error);
    if (!error) acceptor_.set_option(tcp::acceptor::reuse_address(true), error);
    if (!error) acceptor_.bind(at, error);
    if (!error) acceptor_.listen(1, error);
    if (error) {
      return MachineFailure(name.text, "cannot listen: " + error.message());
    }
    return {};
  }

  std::string Address() const override {
    error_code error;
    return "tcp:127.0.0.1:" +
           std::to_string(acceptor_.local_endpoint(error).port());
  }
  Expected<bool> WaitForReader(const std::atomic<bool>& stop) override {
    while (!stop) {
      if (!WaitFor(acceptor_.native_handle(), POLLIN)) continue;
      error_code error;
      acceptor_.accept(client_, error);
      if (!error) client_.non_blocking(true, error);
      if (!error) return true;
    }
    return false;
  }
  Expected<bool> Write(std::string_view text,
                       const std::atomic<bool>& stop) override {
    return WriteAll(client_.native_handle(), text, "tcp", stop);
  }
  void Drain(const std::atomic<bool>&) override {
    error_code ignored;
    client_.shutdown(tcp::socket::shutdown_send, ignored);
  }

 private:
  boost::asio::io_context io_;
  tcp::acceptor acceptor_;
  tcp::socket client_;
};

class UdpSink : public Sink {
 public:
  UdpSink() : socket_(io_) {}

  Expected<void> Open(const SinkName& name) {
    error_code error;
    udp::resolver resolver(io_);
    const auto found =
        resolver.resolve(name.host, std::to_string(name.port), error);
    if (error || found.empty()) {
      return MachineFailure(name.text, "no such host: " + error.message());
    }
    to_ = found.begin()->endpoint();
    socket_.open(to_.protocol(), error);
    if (error) return MachineFailure(name.text, error.message());
    return {};
  }

  std::string Address() const override {
    return "udp:" + std::to_string(to_.port());
  }
  Expected<bool> WaitForReader(const std::atomic<bool>& stop) override {
    return !stop;
  }
  // Whole lines in each datagram, below the size that a network cuts up. As
  // with a radio, nobody has to listen.
  Expected<bool> Write(std::string_view text,
                       const std::atomic<bool>& stop) override {
    constexpr std::size_t kMost = 1400;
    while (!text.empty() && !stop) {
      std::size_t n = std::min(text.size(), kMost);
      const std::size_t line_end = text.substr(0, n).rfind('\n');
      if (line_end != std::string_view::npos) n = line_end + 1;
      error_code error;
      socket_.send_to(boost::asio::buffer(text.data(), n), to_, 0, error);
      if (error && error != boost::asio::error::connection_refused) {
        return MachineFailure(Address(), "cannot send: " + error.message());
      }
      text.remove_prefix(n);
    }
    return !stop;
  }
  void Drain(const std::atomic<bool>&) override {}

 private:
  boost::asio::io_context io_;
  udp::socket socket_;
  udp::endpoint to_;
};

Expected<std::unique_ptr<Sink>> OpenFileSink(const std::string& path,
                                             bool overwrite) {
  const int how =
      O_WRONLY | O_CREAT | O_CLOEXEC | (overwrite ? O_TRUNC : O_EXCL);
  const int fd = open(path.c_str(), how, 0666);
  if (fd >= 0) return std::make_unique<FileSink>(fd, true, path);
  if (errno == EEXIST) {
    return BadInput(path, "exists already; --force writes over it");
  }
  const bool wrong = errno == ENOENT || errno == EISDIR || errno == ENOTDIR;
  return tl::unexpected(
      Error{wrong ? ErrorKind::kBadInput : ErrorKind::kMachine, path,
            std::string("cannot be written: ") + std::strerror(errno)});
}

}  // namespace

bool WaitFor(int fd, std::int16_t events) {
  pollfd waiting{fd, events, 0};
  return poll(&waiting, 1, 100) > 0;
}

Expected<bool> WriteAll(int fd, std::string_view text, const std::string& where,
                        const std::atomic<bool>& stop) {
  while (!text.empty()) {
    if (stop) return false;
    const ssize_t n = write(fd, text.data(), text.size());
    if (n > 0) {
      text.remove_prefix(static_cast<std::size_t>(n));
    } else if (errno == EAGAIN) {
      WaitFor(fd, POLLOUT);
    } else if (errno == EPIPE || errno == ECONNRESET || errno == EIO) {
      return false;
    } else if (errno != EINTR) {
      return MachineFailure(
          where, std::string("writing failed: ") + std::strerror(errno));
    }
  }
  return true;
}

Expected<std::unique_ptr<Sink>> OpenSink(const SinkName& name, bool overwrite) {
  switch (name.kind) {
    case SinkName::Kind::kFile:
      return OpenFileSink(name.path, overwrite);
    case SinkName::Kind::kStdout:
      return std::make_unique<FileSink>(STDOUT_FILENO, false,
                                        "standard output");
    case SinkName::Kind::kPty:
      return OpenPtySink();
    case SinkName::Kind::kTcp: {
      auto sink = std::make_unique<TcpSink>();
      if (auto ok = sink->Listen(name); !ok) return tl::unexpected(ok.error());
      return sink;
    }
    case SinkName::Kind::kUdp: {
      auto sink = std::make_unique<UdpSink>();
      if (auto ok = sink->Open(name); !ok) return tl::unexpected(ok.error());
      return sink;
    }
  }
  return BadInput("--to", "no such sink: " + name.text);
}

}  // namespace masseter
