// Copies a logbook to a second place every so often while it is recorded, on a
// thread of its own: a slow, full or pulled stick never holds up the recording.
#ifndef MASSETER_APP_BOOK_COPIER_H_
#define MASSETER_APP_BOOK_COPIER_H_

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "core/base/error.h"

namespace masseter {

// Where a copy of `book_path` goes: `to`, or in it when it is a folder. What is
// neither there nor named like a file (day.book) is refused: a stick that is
// not plugged in must not become a file on the disk that should hold its
// folder.
Expected<std::string> CopyPlace(const std::string& book_path,
                                const std::string& to);

struct CopyAnswer {
  std::string path;
  std::uint64_t bytes = 0;
  std::uint64_t samples = 0;
};
// `copy`: one copy now (logbook/copy_book.h).
Expected<CopyAnswer> CopyOnce(const std::string& book_path,
                              const std::string& to,
                              const std::atomic<bool>& stop);

class BookCopier {
 public:
  struct Word {
    bool bad = false;
    std::string text;
  };

  // The first copy is made at once.
  BookCopier(std::string book_path, std::string to,
             std::chrono::duration<double> every);
  BookCopier(const BookCopier&) = delete;
  BookCopier& operator=(const BookCopier&) = delete;
  // Gives up a copy that is under way.
  ~BookCopier();

  // What is new since the last call, for the terminal and the page: a failure
  // is told when it begins and when it is over.
  std::vector<Word> News();
  // Stops, then makes a last copy of the closed logbook; its error comes back.
  Expected<void> Finish();

 private:
  void Run();
  Expected<void> Copy();
  void Tell(const Expected<void>& copied);
  void Stop();

  const std::string book_path_;
  const std::string to_;
  const std::chrono::duration<double> every_;
  std::atomic<bool> stop_{false};
  std::mutex mutex_;  // guards news_ and failing_
  std::condition_variable wake_;
  std::vector<Word> news_;
  bool failing_ = false;
  bool ever_ = false;
  std::thread thread_;  // last: it uses all of the above
};

}  // namespace masseter

#endif  // MASSETER_APP_BOOK_COPIER_H_
