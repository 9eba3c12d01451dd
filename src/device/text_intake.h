// From the bytes a device printed to raw blocks: the one parser of import and
// live. Streaming, no locale, never fatal on a broken line.
// Format: docs/formats/capture.md.
#ifndef MASSETER_DEVICE_TEXT_INTAKE_H_
#define MASSETER_DEVICE_TEXT_INTAKE_H_

#include <cstdint>
#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/rig/rig.h"
#include "core/signal/raw_block.h"

namespace masseter {

struct BrokenLine {
  std::uint64_t line = 0;  // 1-based
  std::string why;  // `c3 is not a number: "1o2"`, "5 fields, 7 expected"
};

struct IntakeReport {
  std::uint64_t lines = 0;  // all lines, header, comments and blanks too
  std::uint64_t rows = 0;   // good samples
  std::uint64_t broken = 0;
  std::vector<BrokenLine> first_broken;  // the first 20
  bool has_header = false;
  std::vector<std::string>
      warnings;  // "the header names t_ms, the rig file t_us"
};

class TextIntake {
 public:
  using Sink = std::function<Expected<void>(const RawBlock&)>;

  // Blocks of up to `block_rows` rows go to `sink` in order; what the sink
  // returns as an error stops the intake and is returned by Push.
  TextIntake(const Rig& rig, std::size_t block_rows, Sink sink);
  ~TextIntake();

  // Adds bytes, split anywhere. Errors: only what makes the whole capture
  // unreadable (a header without one of the rig's channels, a file that is
  // not text), with the line number in `where` as ":N", and the sink's own.
  Expected<void> Push(std::span<const char> bytes, double host_time_s = 0.0);
  // Hands on the rows gathered so far (live: at least 20 times a second).
  Expected<void> Flush();
  // End of input: a last line without line end counts when it is complete in
  // fields; then Flush.
  Expected<void> Finish();

  const IntakeReport& report() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_TEXT_INTAKE_H_
