// From the bytes a device printed to raw blocks: the one parser of import and
// live. Streaming, no locale, never fatal on a broken line.
// Format: docs/formats/capture.md.
#ifndef MASSETER_DEVICE_TEXT_INTAKE_H_
#define MASSETER_DEVICE_TEXT_INTAKE_H_

#include <cstddef>
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

// What an intake saw. Every line is a sample, a header, a comment, blank or
// broken. Lines that wait for the separator to be known (ten at most, before
// the first sample) are counted in `lines` only.
struct IntakeReport {
  std::uint64_t lines = 0;   // all lines, header, comments and blanks too
  std::uint64_t rows = 0;    // good samples
  std::uint64_t broken = 0;  // counted and skipped
  std::vector<BrokenLine> first_broken;  // the first 20
  bool has_header = false;    // a header stood before the first sample
  std::uint64_t headers = 0;  // more than one: the device started again
  // "the header names t_ms, the rig file t_us; the header is followed";
  // the first 20.
  std::vector<std::string> warnings;
};

// Thread rule: none of its own; one thread at a time. Memory: block_rows rows,
// one line, ten short-lived lines at the start.
class TextIntake {
 public:
  using Sink = std::function<Expected<void>(const RawBlock&)>;

  // What Finish makes of a last line without line end.
  enum class LastLine {
    kCounts,  // the end of a file: it is a line like any other
    kTorn,    // a stream that broke off: its last number may be cut; broken
  };

  // Blocks of up to `block_rows` (> 0) rows go to `sink` in order; what the
  // sink returns as an error stops the intake and is returned by Push. Every
  // block has the layout of the first one.
  TextIntake(const Rig& rig, std::size_t block_rows, Sink sink);
  ~TextIntake();
  TextIntake(const TextIntake&) = delete;
  TextIntake& operator=(const TextIntake&) = delete;

  // Adds bytes, split anywhere: the same bytes give the same rows, whatever
  // the pieces. `host_time_s` > 0 says that the bytes are live. Errors, after
  // which every call returns the same error again:
  //   - a header before the first sample that lacks a channel of the rig or
  //     names a column twice (live: not on line 1, which may be torn);
  //   - none of the first 200 lines is a sample;
  //   - UTF-16 text;
  // each kBadInput with the line in `where` as ":N"; and the sink's own.
  Expected<void> Push(std::span<const char> bytes, double host_time_s = 0.0);
  // Hands on the rows gathered so far (live: at least 20 times a second).
  Expected<void> Flush();
  // The stream broke off and goes on: the line that was torn is broken. With
  // `anywhere` it goes on in the middle of a line, which is broken too.
  Expected<void> Rejoin(bool anywhere);
  // End of input: settles the last line and flushes. An input with lines of
  // which none is a sample is an error here, however short (kCounts only).
  Expected<void> Finish(LastLine last = LastLine::kCounts);

  const IntakeReport& report() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_TEXT_INTAKE_H_
