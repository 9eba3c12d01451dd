// `export`: a logbook's bites and samples as CSV files that any program reads.
// docs/formats/export.md.
#ifndef MASSETER_APP_EXPORT_BOOK_H_
#define MASSETER_APP_EXPORT_BOOK_H_

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "core/base/error.h"

namespace masseter {

struct ExportRequest {
  std::string book_path;
  // A folder that is made, or, when it ends in ".csv", one file of bites.
  std::string out_path;
  std::vector<std::int64_t> captures;  // these alone; empty: all
  bool raw = false;  // also what the devices printed, ready to import again
  // Told the bytes written and how many it will be, roughly; may be empty.
  std::function<void(std::uint64_t, std::uint64_t)> progress;
  // Set to give up; nothing is left then. May be null.
  const std::atomic<bool>* stop = nullptr;
};

struct ExportedFile {
  std::string path;
  std::uint64_t rows = 0;
  std::uint64_t bytes = 0;
};

struct ExportAnswer {
  std::vector<ExportedFile> files;  // the metadata last
};

// All files are there or, on error, none. Refuses a folder that exists; a file
// of bites is written over. Memory does not grow with the logbook. Works
// beside a recorder: what it has stored so far is there.
Expected<ExportAnswer> ExportBook(const ExportRequest& request);

}  // namespace masseter

#endif  // MASSETER_APP_EXPORT_BOOK_H_
