// A consistent copy of a logbook while it is being recorded.
#ifndef MASSETER_LOGBOOK_COPY_BOOK_H_
#define MASSETER_LOGBOOK_COPY_BOOK_H_

#include <cstdint>
#include <functional>
#include <string>

#include "core/base/error.h"

namespace masseter {

// Refuses a place that CopyBook would refuse.
Expected<void> CheckCopyPlace(const std::string& from, const std::string& to);

struct CopyResult {
  std::uint64_t bytes = 0;
  std::uint64_t samples = 0;
};

// Copies the logbook `from` to `to` as it stands at one moment, with SQLite's
// online backup (sqlite.org/backup.html) from a connection and a snapshot of
// its own, so that a recorder is never held up: while the copy lasts its
// write-ahead log grows instead. The copy is built under a temporary name
// beside `to`, opened and checked (PRAGMA quick_check, every capture readable
// as rows), written through, then renamed. An existing `to` is replaced only
// when it is an older copy of the same logbook: same rig and calibrations, and
// every capture of it is in `from` with at least as many samples; anything else
// is refused (kBadInput). On error `to` is as it was.
//
// `go_on` is asked between pieces of 1 MB (may be empty); false gives up.
//
// Thread rule: safe beside a recorder in this or another process.
Expected<CopyResult> CopyBook(const std::string& from, const std::string& to,
                              const std::function<bool()>& go_on);

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_COPY_BOOK_H_
