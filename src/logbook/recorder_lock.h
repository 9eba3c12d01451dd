// One recorder at a time: a lock on a small file beside the logbook,
// "BOOK.lock", which holds the recorder's process number as text.
//
// The kernel frees the lock when the process ends, however it ends, so a
// left-over file never blocks anyone. It is a file of its own because closing
// any second descriptor of the logbook would drop SQLite's own locks on it
// (POSIX record locks belong to process and file).
#ifndef MASSETER_LOGBOOK_RECORDER_LOCK_H_
#define MASSETER_LOGBOOK_RECORDER_LOCK_H_

#include <string>

#include "core/base/error.h"

namespace masseter {

class RecorderLock {
 public:
  // Takes the lock for the logbook at `path` (which exists) or says who has
  // it. Also refuses a second lock within this process.
  static Expected<RecorderLock> Take(const std::string& path);

  RecorderLock(RecorderLock&& other) noexcept;
  RecorderLock& operator=(RecorderLock&& other) noexcept;
  // Removes the file and frees the lock.
  ~RecorderLock();

 private:
  RecorderLock(int fd, std::string lock_path);
  void Release();

  int fd_;
  std::string lock_path_;
};

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_RECORDER_LOCK_H_
