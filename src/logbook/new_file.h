// Puts a finished file in its place without ever overwriting another: the
// file is built under a temporary name in the same folder, then renamed.
#ifndef MASSETER_LOGBOOK_NEW_FILE_H_
#define MASSETER_LOGBOOK_NEW_FILE_H_

#include <string>

#include "core/base/error.h"

namespace masseter {

// A name beside `path` that no file has. It carries the process number.
std::string TemporaryNameFor(const std::string& path);

// Refuses when `path` names anything, or when a "-wal" file of a logbook that
// is gone lies beside it: SQLite would read it into the new one.
Expected<void> CheckPlaceIsFree(const std::string& path);

// Writes `temporary` through to the disk, renames it to `path` and writes the
// folder through. Refuses when `path` exists by now.
Expected<void> PutInPlace(const std::string& temporary,
                          const std::string& path);

// The same over an existing file, whose place is taken at one moment.
Expected<void> PutInPlaceOfOlder(const std::string& temporary,
                                 const std::string& path);

// Removes `temporary` and what SQLite may have left beside it.
void RemoveTemporary(const std::string& temporary);

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_NEW_FILE_H_
