#include <boost/asio/buffer.hpp>
#include <boost/asio/error.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>

#include "device/send_queue.h"
#include "device/serial_line.h"
#include "device/source_session.h"

namespace masseter {
namespace {

using boost::system::error_code;

class SerialSession : public SourceSession {
 public:
  SerialSession(boost::asio::io_context& io, const SourceName& name)
      : SourceSession(io), path_(name.path), baud_(name.baud), port_(io) {}

  void Send(std::span<const std::uint8_t> bytes) override {
    queue_.Send(bytes, shared_from_this());
  }

 private:
  void Begin() override {
    const Expected<int> fd = OpenSerialLine(path_, baud_);
    if (!fd) return End(fd.error());
    port_.assign(*fd);
    Up(path_ + " at " + std::to_string(baud_) + " baud, 8N1");
    Read();
  }

  void Read() {
    if (ended()) return;
    port_.async_read_some(
        boost::asio::buffer(buffer_),
        [this, self = shared_from_this()](error_code error, std::size_t n) {
          if (!Deliver(n, true)) return;
          if (error) {
            const bool end = error == boost::asio::error::eof;
            return End(LostSerialLine(path_, end ? 0 : error.value()));
          }
          Read();
        });
  }

  void Close() override {
    error_code ignored;
    port_.close(ignored);
  }

  std::string path_;
  int baud_;
  boost::asio::posix::stream_descriptor port_;
  SendQueue<boost::asio::posix::stream_descriptor> queue_{port_};
};

}  // namespace

std::shared_ptr<SourceSession> MakeSerialSession(boost::asio::io_context& io,
                                                 const SourceName& name) {
  return std::make_shared<SerialSession>(io, name);
}

}  // namespace masseter
