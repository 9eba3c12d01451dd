// `import`: a capture file into the logbook, then its bites.
#ifndef MASSETER_APP_IMPORT_CAPTURE_H_
#define MASSETER_APP_IMPORT_CAPTURE_H_

#include <cstdint>
#include <functional>
#include <optional>
#include <string>

#include "app/capture_notes.h"
#include "core/base/error.h"

namespace masseter {

struct ImportRequest {
  std::string book_path;
  std::string capture_path;
  std::optional<std::string> roster_path;
  std::optional<std::string> marks_path;
  std::optional<std::string> dog;  // up for the whole capture
  // Told the bytes read and the file's size, from the thread that reads the
  // file; may be empty.
  std::function<void(std::uint64_t, std::uint64_t)> progress;
};

struct ImportAnswer {
  std::int64_t capture = 0;
  std::uint64_t samples = 0;
  std::uint64_t broken_lines = 0;
  std::size_t bites = 0;
  CaptureNotes notes;
};

// All of it is stored or, on error, nothing. Memory does not grow with the
// file.
Expected<ImportAnswer> ImportCapture(const ImportRequest& request);

}  // namespace masseter

#endif  // MASSETER_APP_IMPORT_CAPTURE_H_
