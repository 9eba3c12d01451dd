// Where a simulated sleeve prints to: file:PATH, "-" (standard output), pty,
// tcp:PORT or udp:HOST:PORT. The counterpart of source.h.
#ifndef MASSETER_DEVICE_SINK_H_
#define MASSETER_DEVICE_SINK_H_

#include <atomic>
#include <memory>
#include <string>
#include <string_view>

#include "core/base/error.h"

namespace masseter {

// A sink as the user named it, checked for form only.
struct SinkName {
  enum class Kind { kFile, kStdout, kPty, kTcp, kUdp } kind = Kind::kStdout;
  std::string text;  // as given, for messages
  std::string path;  // file
  std::string host;  // udp; an IPv6 address without its brackets
  int port = 0;      // tcp (0: any free one), udp
};

// Errors: kBadInput, one sentence that says what is wrong.
Expected<SinkName> ParseSinkName(const std::string& text);

// Thread rule: one thread at a time. Every wait ends within 0.1 s of `stop`
// being set.
class Sink {
 public:
  virtual ~Sink() = default;
  // What to give to --from to read it: "serial:/dev/pts/4@921600",
  // "tcp:127.0.0.1:5000"; empty where nothing reads while it is written.
  virtual std::string Address() const = 0;
  // Waits until somebody reads; at once where nobody has to. False: stopped.
  virtual Expected<bool> WaitForReader(const std::atomic<bool>& stop) = 0;
  // Writes all of `text`. False: the reader has gone, or stopped.
  virtual Expected<bool> Write(std::string_view text,
                               const std::atomic<bool>& stop) = 0;
  // Waits until the reader has taken what was written, 2 s at most.
  virtual void Drain(const std::atomic<bool>& stop) = 0;
};

// Opens the sink. A file must not exist yet unless `overwrite`.
Expected<std::unique_ptr<Sink>> OpenSink(const SinkName& name,
                                         bool overwrite = false);

}  // namespace masseter

#endif  // MASSETER_DEVICE_SINK_H_
