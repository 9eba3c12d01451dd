// Where bytes come from: serial:PATH@BAUD, tcp:HOST:PORT, udp:PORT,
// mqtt:HOST:PORT/TOPIC, file:PATH or "-" (standard input).
#ifndef MASSETER_DEVICE_SOURCE_H_
#define MASSETER_DEVICE_SOURCE_H_

// <utility> must come before Boost.Asio 1.74 on g++ 12.
#include <utility>
//
#include <boost/asio/io_context.hpp>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>

#include "core/base/error.h"

namespace masseter {

class SeenPayloads;

// A source as the user named it, checked for form only.
struct SourceName {
  enum class Kind {
    kSerial,
    kTcp,
    kUdp,
    kMqtt,
    kFile,
    kStdin
  } kind = Kind::kStdin;
  std::string text;   // as given, for messages
  std::string path;   // serial, file; mqtt: the topic
  int baud = 115200;  // serial; any rate, standard or not
  std::string host;   // tcp, mqtt; an IPv6 address without its brackets
  int port = 0;       // tcp, udp, mqtt
  // mqtt: over all connections to the topic, hence shared by the copies.
  std::shared_ptr<SeenPayloads> seen;
};

// Reads "serial:/dev/ttyUSB0@921600" (115200 without @BAUD),
// "tcp:192.168.4.1:5000", "tcp:[fe80::1%eth0]:5000", "udp:5000",
// "mqtt:broker.local/club/sleeve" (port 1883 without :PORT), "file:day.csv" or
// "-". Errors: kBadInput, one sentence that says what is
// wrong and lists the forms.
Expected<SourceName> ParseSourceName(const std::string& text);

// Whether what is sent can reach the device. Files and pipes lead one way.
inline bool HasWayBack(const SourceName& name) {
  return name.kind != SourceName::Kind::kFile &&
         name.kind != SourceName::Kind::kStdin;
}

// What the error of a TCP connection says that the device ended in good order.
inline constexpr const char* kDeviceClosed = "the device closed the connection";

// What a source tells its owner. All calls come from the io_context's thread,
// none from inside Start or Stop.
struct SourceEvents {
  // Bytes as they arrived (64 KiB at most), with the host clock (Unix
  // seconds), or 0 when they come from a file. UDP: the datagrams one after
  // another, as they arrived; MQTT: likewise the messages, text with a line
  // end.
  std::function<void(std::span<const char>, double host_time_s)> on_bytes;
  // The line is open ("/dev/ttyUSB0 at 921600 baud, 8N1").
  std::function<void(const std::string& text)> on_up;
  // The source ended: nullopt at the end of a file or a closed pipe, an error
  // when the port could not be opened or was lost, a connection that the
  // device closed included. Called once, last.
  std::function<void(std::optional<Error>)> on_end;
};

// Thread rule: Start, Stop, Send and the destructor on the thread that runs the
// io_context, or while none does.
class Source {
 public:
  virtual ~Source() = default;
  // Opens the source and begins to read; at most once. Handlers may be empty.
  virtual void Start(SourceEvents events) = 0;
  // Closes the source; no event comes after it, on_end neither. May be called
  // from inside an event. Destroying the source stops it.
  virtual void Stop() = 0;
  // Bytes for the device, one datagram over UDP (to whom the last one came
  // from). Never waits; what does not go out at once and does not fit a small
  // queue is dropped. Does nothing where there is no way back.
  virtual void Send(std::span<const std::uint8_t> bytes) = 0;
};

// A source for `name`, not yet open: what fails on opening is told by on_end.
Expected<std::unique_ptr<Source>> OpenSource(boost::asio::io_context& io,
                                             const SourceName& name);

}  // namespace masseter

#endif  // MASSETER_DEVICE_SOURCE_H_
