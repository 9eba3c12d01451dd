#include "app/file_io.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <cstring>
#include <ctime>
#include <memory>
#include <vector>

namespace masseter {
namespace {

constexpr std::size_t kPiece = 256U << 10U;
constexpr std::uint64_t kMostText = 64U << 20U;

class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int get() const { return fd_; }
  int release() {
    const int fd = fd_;
    fd_ = -1;
    return fd;
  }

 private:
  int fd_;
};

std::string Reason() { return std::strerror(errno); }

Expected<std::uint64_t> SizeOf(int fd, const std::string& path) {
  struct stat info {};
  if (::fstat(fd, &info) != 0) return MachineFailure(path, Reason());
  if (S_ISDIR(info.st_mode)) return BadInput(path, "is a folder, not a file");
  return static_cast<std::uint64_t>(info.st_size);
}

std::string Formatted(double unix_s, const char* format) {
  if (unix_s <= 0.0) return "";
  const auto seconds = static_cast<std::time_t>(unix_s);
  std::tm local{};
  if (::localtime_r(&seconds, &local) == nullptr) return "";
  char text[64];
  const std::size_t n = std::strftime(text, sizeof text, format, &local);
  return std::string(text, n);
}

}  // namespace

Expected<void> ReadPieces(
    const std::string& path,
    const std::function<Expected<void>(std::span<const char>)>& take,
    const std::function<void(std::uint64_t, std::uint64_t)>& progress) {
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (file.get() < 0) return BadInput(path, "cannot be read: " + Reason());
  const auto size = SizeOf(file.get(), path);
  if (!size) return tl::unexpected(size.error());
  std::vector<char> piece(kPiece);
  std::uint64_t done = 0;
  while (true) {
    const ssize_t n = ::read(file.get(), piece.data(), piece.size());
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return MachineFailure(path, "reading failed: " + Reason());
    if (n == 0) return {};
    const auto bytes = static_cast<std::size_t>(n);
    if (auto ok = take(std::span<const char>(piece.data(), bytes)); !ok) {
      return ok;
    }
    done += bytes;
    if (progress) progress(done, *size);
  }
}

Expected<std::string> ReadText(const std::string& path) {
  std::string text;
  auto ok = ReadPieces(path,
                       [&](std::span<const char> piece) -> Expected<void> {
                         text.append(piece.data(), piece.size());
                         if (text.size() > kMostText) {
                           return BadInput(path, "is larger than 64 MiB");
                         }
                         return {};
                       },
                       {});
  if (!ok) return tl::unexpected(ok.error());
  return text;
}

Error CannotMake(const std::string& path) {
  const std::size_t slash = path.find_last_of('/');
  if (slash != std::string::npos && (errno == ENOENT || errno == ENOTDIR)) {
    return {ErrorKind::kBadInput, path,
            "there is no folder " + path.substr(0, slash)};
  }
  return {ErrorKind::kMachine, path, "cannot be written: " + Reason()};
}

Expected<void> WriteText(const std::string& path, std::string_view text) {
  std::string temporary = path + ".XXXXXX";
  Descriptor file(::mkstemp(temporary.data()));
  if (file.get() < 0) {
    return tl::unexpected(CannotMake(path));
  }
  const auto fail = [&](const char* what) {
    const std::string reason = Reason();
    ::unlink(temporary.c_str());
    return MachineFailure(path, std::string(what) + reason);
  };
  while (!text.empty()) {
    const ssize_t n = ::write(file.get(), text.data(), text.size());
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return fail("writing failed: ");
    text.remove_prefix(static_cast<std::size_t>(n));
  }
  const mode_t mask = ::umask(0);
  ::umask(mask);
  if (::fchmod(file.get(), 0666 & ~mask) != 0 || ::fsync(file.get()) != 0 ||
      ::close(file.release()) != 0) {
    return fail("writing failed: ");
  }
  if (::rename(temporary.c_str(), path.c_str()) != 0) {
    return fail("cannot be written: ");
  }
  return {};
}

bool SameFile(const std::string& a, const std::string& b) {
  struct stat x {};
  struct stat y {};
  return ::stat(a.c_str(), &x) == 0 && ::stat(b.c_str(), &y) == 0 &&
         x.st_dev == y.st_dev && x.st_ino == y.st_ino;
}

std::string FileName(const std::string& path) {
  const std::size_t at = path.find_last_of('/');
  return at == std::string::npos ? path : path.substr(at + 1);
}

double NowUnixS() {
  const auto now = std::chrono::system_clock::now().time_since_epoch();
  return std::chrono::duration<double>(now).count();
}

std::string LocalTime(double unix_s) {
  return Formatted(unix_s, "%Y-%m-%d %H:%M");
}

std::string LocalClock(double unix_s) { return Formatted(unix_s, "%H:%M:%S"); }

}  // namespace masseter
