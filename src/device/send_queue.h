// Bytes on their way to the device over a stream that may be slow.
#ifndef MASSETER_DEVICE_SEND_QUEUE_H_
#define MASSETER_DEVICE_SEND_QUEUE_H_

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <utility>
//
#include <boost/asio/buffer.hpp>
#include <boost/asio/write.hpp>

namespace masseter {

// One write at a time; what comes while kMostBytes wait is dropped whole: an
// acknowledgement is repeated anyhow. `owner` is kept alive while a write runs.
//
// Thread rule: the io_context's thread.
template <class Stream>
class SendQueue {
 public:
  static constexpr std::size_t kMostBytes = 4096;

  explicit SendQueue(Stream& stream) : stream_(stream) {}

  void Send(std::span<const std::uint8_t> bytes, std::shared_ptr<void> owner) {
    if (!stream_.is_open()) return;
    if (waiting_.size() + bytes.size() > kMostBytes) return;
    waiting_.append(bytes.begin(), bytes.end());
    if (!writing_) Write(std::move(owner));
  }

 private:
  void Write(std::shared_ptr<void> owner) {
    writing_ = true;
    going_ = std::exchange(waiting_, {});
    boost::asio::async_write(
        stream_, boost::asio::buffer(going_),
        [this, owner](boost::system::error_code error, std::size_t) {
          writing_ = false;
          // A stream that is lost is noticed by its reader.
          if (!error && !waiting_.empty()) Write(owner);
        });
  }

  Stream& stream_;
  bool writing_ = false;
  std::string waiting_;
  std::string going_;
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_SEND_QUEUE_H_
