// What all sources have in common: a life on the io_context, one end.
#ifndef MASSETER_DEVICE_SOURCE_SESSION_H_
#define MASSETER_DEVICE_SOURCE_SESSION_H_

#include <array>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>

#include "device/source.h"

namespace masseter {

// One opening of one source. Shared: the handlers that wait in the io_context
// keep it alive, so that the Source may be destroyed at any moment, from inside
// an event too.
class SourceSession : public std::enable_shared_from_this<SourceSession> {
 public:
  explicit SourceSession(boost::asio::io_context& io) : io_(io) {}
  virtual ~SourceSession() = default;
  SourceSession(const SourceSession&) = delete;
  SourceSession& operator=(const SourceSession&) = delete;

  void Start(SourceEvents events);
  void Stop();
  virtual void Send(std::span<const std::uint8_t> /*bytes*/) {}

 protected:
  static constexpr std::size_t kChunk = 64 * 1024;

  // Opens and begins to read; on the io_context's thread.
  virtual void Begin() = 0;
  // Gives the descriptor back; idempotent, pending handlers end.
  virtual void Close() = 0;

  void Up(const std::string& text);
  // Hands on the first `count` bytes of buffer_; false when stopped since.
  bool Deliver(std::size_t count, bool with_host_time);
  // Closes and tells the owner, unless that was done or Stop was called.
  void End(std::optional<Error> error);
  bool ended() const { return ended_; }

  boost::asio::io_context& io_;
  std::array<char, kChunk> buffer_;

 private:
  SourceEvents events_;
  bool ended_ = false;
};

std::shared_ptr<SourceSession> MakeSerialSession(boost::asio::io_context& io,
                                                 const SourceName& name);
std::shared_ptr<SourceSession> MakeTcpSession(boost::asio::io_context& io,
                                              const SourceName& name);
std::shared_ptr<SourceSession> MakeUdpSession(boost::asio::io_context& io,
                                              const SourceName& name);
std::shared_ptr<SourceSession> MakeMqttSession(boost::asio::io_context& io,
                                               const SourceName& name);
// Files and standard input.
std::shared_ptr<SourceSession> MakeStreamSession(boost::asio::io_context& io,
                                                 const SourceName& name);

}  // namespace masseter

#endif  // MASSETER_DEVICE_SOURCE_SESSION_H_
