#include "device/source_session.h"

#include <boost/asio/post.hpp>

namespace masseter {
namespace {

class SessionSource : public Source {
 public:
  explicit SessionSource(std::shared_ptr<SourceSession> session)
      : session_(std::move(session)) {}
  ~SessionSource() override { session_->Stop(); }
  void Start(SourceEvents events) override {
    session_->Start(std::move(events));
  }
  void Stop() override { session_->Stop(); }
  void Send(std::span<const std::uint8_t> bytes) override {
    session_->Send(bytes);
  }

 private:
  std::shared_ptr<SourceSession> session_;
};

double HostTime() {
  return std::chrono::duration<double>(
             std::chrono::system_clock::now().time_since_epoch())
      .count();
}

}  // namespace

void SourceSession::Start(SourceEvents events) {
  events_ = std::move(events);
  boost::asio::post(io_, [self = shared_from_this()] {
    if (!self->ended_) self->Begin();
  });
}

void SourceSession::Stop() {
  ended_ = true;
  Close();
}

void SourceSession::Up(const std::string& text) {
  if (!ended_ && events_.on_up) events_.on_up(text);
}

bool SourceSession::Deliver(std::size_t count, bool with_host_time) {
  if (!ended_ && count > 0 && events_.on_bytes) {
    events_.on_bytes(std::span<const char>(buffer_.data(), count),
                     with_host_time ? HostTime() : 0.0);
  }
  return !ended_;
}

void SourceSession::End(std::optional<Error> error) {
  if (std::exchange(ended_, true)) return;
  Close();
  if (events_.on_end) events_.on_end(std::move(error));
}

Expected<std::unique_ptr<Source>> OpenSource(boost::asio::io_context& io,
                                             const SourceName& name) {
  std::shared_ptr<SourceSession> session;
  switch (name.kind) {
    case SourceName::Kind::kSerial:
      session = MakeSerialSession(io, name);
      break;
    case SourceName::Kind::kTcp:
      session = MakeTcpSession(io, name);
      break;
    case SourceName::Kind::kUdp:
      session = MakeUdpSession(io, name);
      break;
    case SourceName::Kind::kMqtt:
      session = MakeMqttSession(io, name);
      break;
    case SourceName::Kind::kFile:
    case SourceName::Kind::kStdin:
      session = MakeStreamSession(io, name);
      break;
  }
  if (!session) return BadInput("", "no such source: " + name.text);
  return std::make_unique<SessionSource>(std::move(session));
}

}  // namespace masseter
