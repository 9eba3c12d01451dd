// `status`: what a logbook holds.
#ifndef MASSETER_APP_STATUS_H_
#define MASSETER_APP_STATUS_H_

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "app/day_words.h"
#include "core/base/error.h"
#include "core/signal/clock_join.h"

namespace masseter {

struct CaptureStatus {
  std::int64_t id = 0;
  std::string source;
  double created_unix_s = 0.0;
  std::uint64_t samples = 0;
  double first_s = 0.0;
  double last_s = 0.0;
  std::uint64_t gaps = 0;
  std::uint64_t broken_lines = 0;
  std::size_t bites = 0;
  std::size_t struck_out = 0;  // of these
  bool open = false;
  double rate_hz = 0.0;
  std::optional<JoinedClocks> clocks;  // of a live capture
  std::vector<std::string> warnings;
};

struct BookStatus {
  std::string rig;
  int rig_revision = 1;
  std::size_t calibrations = 0;
  double calibrated_unix_s = 0.0;  // the newest, 0 for none
  std::size_t dogs = 0;
  std::vector<CaptureStatus> captures;
  std::vector<StageRecord> stages;  // checks that were closed, oldest first
};

// Opens for reading only; a recorder may be at work.
Expected<BookStatus> StatusOf(const std::string& book_path);

}  // namespace masseter

#endif  // MASSETER_APP_STATUS_H_
