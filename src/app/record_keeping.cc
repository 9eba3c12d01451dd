// What a recording does when the disk refuses: it goes on in memory, says so,
// and tells in the end what is not kept.
#include <fmt/format.h>

#include <chrono>
#include <thread>

#include "app/file_io.h"
#include "app/record_session.h"
#include "logbook/copy_book.h"

namespace masseter {
namespace {

constexpr double kRemindS = 10.0;
// How long room is waited for once every source has ended.
constexpr std::chrono::seconds kLinger{30};
constexpr std::chrono::milliseconds kLookAgain{200};

std::string Megabytes(std::size_t bytes) {
  return fmt::format("{:.1f}", static_cast<double>(bytes) / 1e6);
}

// "the disk is full", without what was said for whoever stops there.
std::string ShortReason(const Error& error) {
  return error.what.substr(0, error.what.find(';'));
}

}  // namespace

void RecordSession::MindTheDisk() {
  const Waiting waiting = book_.logbook.waiting();
  if (!waiting.why) {
    if (!disk_told_) return;
    disk_told_.reset();
    Tell("info", "The disk takes samples again; everything is stored.");
    return;
  }
  const auto now = Clock::now();
  if (disk_told_ &&
      now - *disk_told_ < std::chrono::duration<double>(kRemindS)) {
    return;
  }
  disk_told_ = now;
  Tell("warn",
       fmt::format("NOT STORED for {:.0f} s: {}: {}. Recording goes on in "
                   "memory ({} of {} MB used); make room on the disk.",
                   waiting.for_s, waiting.why->where, ShortReason(*waiting.why),
                   Megabytes(waiting.bytes),
                   Megabytes(request_.most_waiting_bytes)));
}

// After the last source: what still waits is tried until there is room, the
// stop signal comes or it has taken too long.
Expected<void> RecordSession::KeepTheRest() {
  auto kept = book_.logbook.Settle();
  const bool stopped = failure_ || (request_.stop && request_.stop->load());
  const auto until = Clock::now() + kLinger;
  if (!kept && !stopped) {
    Tell("warn", fmt::format("NOT STORED: {}: {}. Waiting {} s for room on "
                             "the disk.",
                             kept.error().where, ShortReason(kept.error()),
                             kLinger.count()));
  }
  while (!kept && !stopped && Clock::now() < until &&
         !(request_.stop && request_.stop->load())) {
    std::this_thread::sleep_for(kLookAgain);
    kept = book_.logbook.Settle();
  }
  if (kept) {
    if (disk_told_) Tell("info", "Everything is stored.");
    return {};
  }
  return tl::unexpected(Unkept(kept.error()));
}

// How much is kept, until when, and how much is not.
Error RecordSession::Unkept(const Error& error) const {
  const Waiting waiting = book_.logbook.waiting();
  const std::string until = LocalClock(waiting.stored_unix_s);
  Error out = error;
  out.kind = ErrorKind::kMachine;
  out.what = fmt::format(
      "{}; kept {} samples{}, lost {} samples after them and {} bites, marks "
      "or notes",
      ShortReason(error), waiting.stored,
      until.empty() ? "" : " up to " + until, waiting.samples, waiting.changes);
  return out;
}

Expected<void> RecordSession::StartCopies() {
  if (!request_.copy_to) return {};
  const auto to = CopyPlace(request_.book_path, *request_.copy_to);
  if (!to) return tl::unexpected(to.error());
  // A place that would never do is told before anything is recorded.
  auto fits = CheckCopyPlace(request_.book_path, *to);
  if (!fits && fits.error().kind == ErrorKind::kBadInput) return fits;
  copier_ = std::make_unique<BookCopier>(
      request_.book_path, *to,
      std::chrono::duration<double>(request_.copy_every_s));
  return {};
}

void RecordSession::MindTheCopy() {
  if (!copier_) return;
  for (const BookCopier::Word& word : copier_->News()) {
    Tell(word.bad ? "warn" : "info", word.text);
  }
}

void RecordSession::LastCopy() {
  if (!copier_) return;
  const auto copied = copier_->Finish();
  MindTheCopy();
  if (!copied) answer_.no_copy = copied.error();
}

}  // namespace masseter
