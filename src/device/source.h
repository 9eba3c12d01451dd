// Where bytes come from: serial:PATH@BAUD, tcp:HOST:PORT, udp:PORT, file:PATH
// or "-" (standard input).
#ifndef MASSETER_DEVICE_SOURCE_H_
#define MASSETER_DEVICE_SOURCE_H_

#include <boost/asio/io_context.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>

#include "core/base/error.h"

namespace masseter {

// A source as the user named it, checked for form only.
struct SourceName {
  enum class Kind { kSerial, kTcp, kUdp, kFile, kStdin } kind = Kind::kStdin;
  std::string text;   // as given, for messages
  std::string path;   // serial, file
  int baud = 115200;  // serial
  std::string host;   // tcp
  int port = 0;       // tcp, udp
};
Expected<SourceName> ParseSourceName(const std::string& text);

// What a source tells its owner. All calls come from the io_context's thread.
struct SourceEvents {
  // Bytes as they arrived, with the host clock (Unix seconds).
  std::function<void(std::span<const char>, double host_time_s)> on_bytes;
  // The line is open ("/dev/ttyUSB0 at 921600 baud, 8N1").
  std::function<void(const std::string& text)> on_up;
  // The source ended: nullopt at the end of a file or a closed pipe, an error
  // when the port was lost or could not be opened. Called once, last.
  std::function<void(std::optional<Error>)> on_end;
};

class Source {
 public:
  virtual ~Source() = default;
  virtual void Start(SourceEvents events) = 0;
  virtual void Stop() = 0;
};

Expected<std::unique_ptr<Source>> OpenSource(boost::asio::io_context& io,
                                             const SourceName& name);

}  // namespace masseter

#endif  // MASSETER_DEVICE_SOURCE_H_
