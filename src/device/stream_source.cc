#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>
//
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/post.hpp>

#include "device/source_session.h"

namespace masseter {
namespace {

using boost::asio::posix::stream_descriptor;
using boost::system::error_code;

// A file, a named pipe or standard input. What can make a reader wait (pipes,
// terminals, sockets) is read when the system says that there is something;
// a plain file is always ready: it is read chunk by chunk, and other work of
// the io_context has its turn between two chunks.
class StreamSession : public SourceSession {
 public:
  StreamSession(boost::asio::io_context& io, const SourceName& name)
      : SourceSession(io),
        is_stdin_(name.kind == SourceName::Kind::kStdin),
        path_(name.path),
        waiter_(io) {}
  ~StreamSession() override { StreamSession::Close(); }

 private:
  void Begin() override {
    fd_ = is_stdin_ ? STDIN_FILENO
                    : open(path_.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    struct stat about;
    if (fd_ < 0 || fstat(fd_, &about) != 0) return Fail(errno);
    if (S_ISDIR(about.st_mode)) return Fail(EISDIR);
    plain_ = S_ISREG(about.st_mode) || S_ISBLK(about.st_mode) ||
             (S_ISCHR(about.st_mode) && !isatty(fd_));
    if (!plain_) {
      // Waiting makes the descriptor non-blocking, and a terminal is shared
      // with the shell: its flags are put back in Close.
      flags_ = fcntl(fd_, F_GETFL);
      error_code error;
      waiter_.assign(fd_, error);
      if (error) return Fail(error.value());
    }
    Up(is_stdin_ ? "standard input" : path_);
    Next();
  }

  void Next() {
    if (ended()) return;
    if (plain_) {
      boost::asio::post(io_, [this, self = shared_from_this()] { Read(); });
    } else {
      waiter_.async_wait(stream_descriptor::wait_read,
                         [this, self = shared_from_this()](error_code error) {
                           if (ended()) return;
                           if (error) return Fail(error.value());
                           Read();
                         });
    }
  }

  void Read() {
    if (ended()) return;
    const ssize_t n = read(fd_, buffer_.data(), buffer_.size());
    if (n < 0 && errno != EAGAIN && errno != EINTR) return Fail(errno);
    if (n == 0) return End(std::nullopt);
    if (n > 0 && !Deliver(static_cast<std::size_t>(n), !plain_)) return;
    Next();
  }

  void Fail(int error) {
    std::string what = std::string("cannot be read: ") + std::strerror(error);
    ErrorKind kind = ErrorKind::kMachine;
    if (error == ENOENT) {
      what = "no such file";
      kind = ErrorKind::kBadInput;
    } else if (error == EISDIR) {
      what = "a folder, not a file";
      kind = ErrorKind::kBadInput;
    } else if (error == EACCES) {
      what = "permission denied";
    }
    End(Error{kind, is_stdin_ ? "standard input" : path_, what});
  }

  void Close() override {
    if (waiter_.is_open()) {
      waiter_.cancel();
      waiter_.release();
      if (flags_ >= 0) fcntl(fd_, F_SETFL, flags_);
    }
    if (fd_ >= 0 && !is_stdin_) close(fd_);
    fd_ = -1;
  }

  bool is_stdin_;
  std::string path_;
  int fd_ = -1;
  int flags_ = -1;
  bool plain_ = false;
  stream_descriptor waiter_;
};

}  // namespace

std::shared_ptr<SourceSession> MakeStreamSession(boost::asio::io_context& io,
                                                 const SourceName& name) {
  return std::make_shared<StreamSession>(io, name);
}

}  // namespace masseter
