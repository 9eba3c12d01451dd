// A source that is opened again when it was lost.
#ifndef MASSETER_DEVICE_LASTING_SOURCE_H_
#define MASSETER_DEVICE_LASTING_SOURCE_H_

// <utility> must come before Boost.Asio 1.74 on g++ 12.
#include <utility>
//
#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>

#include "device/source.h"

namespace masseter {

struct LastingEvents {
  std::function<void(std::span<const char>, double host_time_s)> on_bytes;
  // Open; `again` when it was lost before: then not before it says something,
  // since a connection that stays silent is no device found.
  std::function<void(const std::string& text, bool again)> on_up;
  // Lost; it is looked for. Followed by on_up or on_end.
  std::function<void(const Error&)> on_lost;
  // As SourceEvents: the end of a file, a source that never came up, or one
  // that was looked for in vain (with the error of its loss).
  std::function<void(std::optional<Error>)> on_end;
  // How many seconds a source that was lost this way is looked for; 0: not at
  // all; infinity: until stopped.
  std::function<double(const Error&)> patience;
};

// Tried again after 0.2 s, then less and less often, every 2 s at last. Only a
// source that has been up is looked for: one that never was, was named wrongly.
//
// Thread rule: as Source.
class LastingSource {
 public:
  static Expected<std::unique_ptr<LastingSource>> Open(
      boost::asio::io_context& io, const SourceName& name);
  ~LastingSource() { Stop(); }
  LastingSource(const LastingSource&) = delete;
  LastingSource& operator=(const LastingSource&) = delete;

  void Start(LastingEvents events);
  void Stop();
  void Send(std::span<const std::uint8_t> bytes);
  // Gives a connection up that is open and says nothing any more.
  void Renew(const std::string& why);
  bool up() const { return up_; }

 private:
  LastingSource(boost::asio::io_context& io, const SourceName& name)
      : io_(io), name_(name), timer_(io) {}
  using Clock = std::chrono::steady_clock;

  void Open();
  void OnUp(const std::string& text);
  void OnBytes(std::span<const char> bytes, double host_time_s);
  void OnEnd(std::optional<Error> error);
  void Lose(const Error& error);
  void TryLater();
  double LeftS() const;
  void GiveUp();

  boost::asio::io_context& io_;
  SourceName name_;
  boost::asio::steady_timer timer_;
  LastingEvents events_;
  std::unique_ptr<Source> source_;
  bool up_ = false;
  bool stopped_ = false;
  std::string text_;           // of on_up, while nothing has come
  std::optional<Error> loss_;  // until something comes again
  Clock::time_point lost_at_;
  double patience_s_ = 0.0;
  std::chrono::milliseconds pause_{0};
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_LASTING_SOURCE_H_
