#include "app/book_copier.h"

#include <filesystem>
#include <utility>

#include "app/file_io.h"
#include "logbook/copy_book.h"

namespace masseter {

Expected<std::string> CopyPlace(const std::string& book_path,
                                const std::string& to) {
  const std::filesystem::path place(to);
  std::error_code ignored;
  if (std::filesystem::is_directory(place, ignored)) {
    return (place / FileName(book_path)).string();
  }
  if (!std::filesystem::exists(place, ignored) && !place.has_extension() &&
      place.filename() != FileName(book_path)) {
    return BadInput(to,
                    "is no folder; is the stick in? A new file's name has an "
                    "ending, as in " +
                        (place / "day.book").string());
  }
  return to;
}

Expected<CopyAnswer> CopyOnce(const std::string& book_path,
                              const std::string& to,
                              const std::atomic<bool>& stop) {
  const auto place = CopyPlace(book_path, to);
  if (!place) return tl::unexpected(place.error());
  const auto done = CopyBook(book_path, *place, [&] { return !stop.load(); });
  if (!done) return tl::unexpected(done.error());
  return CopyAnswer{*place, done->bytes, done->samples};
}

BookCopier::BookCopier(std::string book_path, std::string to,
                       std::chrono::duration<double> every)
    : book_path_(std::move(book_path)),
      to_(std::move(to)),
      every_(every),
      thread_([this] { Run(); }) {}

BookCopier::~BookCopier() { Stop(); }

void BookCopier::Stop() {
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
  }
  wake_.notify_all();
  if (thread_.joinable()) thread_.join();
}

Expected<void> BookCopier::Copy() {
  const auto done = CopyBook(book_path_, to_, [this] { return !stop_; });
  if (!done) return tl::unexpected(done.error());
  return {};
}

void BookCopier::Run() {
  while (!stop_) {
    const auto copied = Copy();
    if (stop_) return;
    Tell(copied);
    std::unique_lock lock(mutex_);
    wake_.wait_for(lock, every_, [this] { return stop_.load(); });
  }
}

void BookCopier::Tell(const Expected<void>& copied) {
  const std::lock_guard lock(mutex_);
  if (!copied && !failing_) {
    news_.push_back({true, "No copy: " + copied.error().Text() +
                               "; the recording goes on, the copy is tried "
                               "again"});
  } else if (copied && (failing_ || !ever_)) {
    news_.push_back({false, "Copied to " + to_});
  }
  failing_ = !copied;
  ever_ = ever_ || copied;
}

std::vector<BookCopier::Word> BookCopier::News() {
  const std::lock_guard lock(mutex_);
  return std::exchange(news_, {});
}

Expected<void> BookCopier::Finish() {
  Stop();
  stop_ = false;
  return Copy();
}

}  // namespace masseter
