#include "logbook/recorder_lock.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <utility>

namespace masseter {
namespace {

constexpr int kAttempts = 100;

// The same file for every name of the logbook (links, relative paths).
std::string LockPathFor(const std::string& path) {
  char* resolved = realpath(path.c_str(), nullptr);
  std::string base = resolved == nullptr ? path : std::string(resolved);
  std::free(resolved);
  return base + ".lock";
}

// " (process 4711)", or nothing when the file does not say.
std::string HolderIn(int fd) {
  char text[24] = {};
  const ssize_t size = pread(fd, text, sizeof text - 1, 0);
  std::int64_t pid = 0;
  if (size <= 0) return "";
  const auto parsed = std::from_chars(text, text + size, pid);
  if (parsed.ec != std::errc() || pid <= 0) return "";
  return " (process " + std::to_string(pid) + ")";
}

// True when `lock_path` still names the file behind `fd`: a holder that ends
// removes the file between our opening and our locking it.
bool StillThere(int fd, const std::string& lock_path) {
  struct stat open_file = {};
  struct stat named_file = {};
  return fstat(fd, &open_file) == 0 &&
         stat(lock_path.c_str(), &named_file) == 0 &&
         open_file.st_ino == named_file.st_ino &&
         open_file.st_dev == named_file.st_dev;
}

void WriteHolder(int fd) {
  // Only for the words of a refusal; the lock holds without it.
  const std::string text = std::to_string(getpid()) + "\n";
  if (ftruncate(fd, 0) != 0) return;
  if (pwrite(fd, text.data(), text.size(), 0) < 0) return;
}

}  // namespace

Expected<RecorderLock> RecorderLock::Take(const std::string& path) {
  const std::string lock_path = LockPathFor(path);
  for (int attempt = 0; attempt < kAttempts; ++attempt) {
    const int fd = open(lock_path.c_str(),
                        O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0666);
    if (fd < 0) {
      return MachineFailure(
          lock_path, std::string("cannot be opened: ") + strerror(errno));
    }
    RecorderLock lock(fd, lock_path);
    if (flock(fd, LOCK_EX | LOCK_NB) != 0) {
      const int reason = errno;
      const std::string holder = HolderIn(fd);
      lock.lock_path_.clear();  // not ours to remove
      if (reason == EINTR) continue;
      if (reason != EWOULDBLOCK) {
        return MachineFailure(
            lock_path, std::string("cannot be locked: ") + strerror(reason));
      }
      return BadInput(path, "another recorder" + holder + " has it in use");
    }
    if (StillThere(fd, lock_path)) {
      WriteHolder(fd);
      return lock;
    }
    lock.lock_path_.clear();
  }
  return MachineFailure(lock_path, "cannot be locked: it keeps changing");
}

RecorderLock::RecorderLock(int fd, std::string lock_path)
    : fd_(fd), lock_path_(std::move(lock_path)) {}

RecorderLock::RecorderLock(RecorderLock&& other) noexcept
    : fd_(std::exchange(other.fd_, -1)),
      lock_path_(std::move(other.lock_path_)) {}

RecorderLock& RecorderLock::operator=(RecorderLock&& other) noexcept {
  if (this != &other) {
    Release();
    fd_ = std::exchange(other.fd_, -1);
    lock_path_ = std::move(other.lock_path_);
  }
  return *this;
}

RecorderLock::~RecorderLock() { Release(); }

void RecorderLock::Release() {
  if (fd_ < 0) return;
  // Removed while it is still locked, so that nobody else's is removed.
  if (!lock_path_.empty()) unlink(lock_path_.c_str());
  close(fd_);
  fd_ = -1;
}

}  // namespace masseter
