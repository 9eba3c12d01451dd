#include "device/pty_sink.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <utility>

namespace masseter {
namespace {

class PtySink : public Sink {
 public:
  PtySink(int master, std::string path)
      : master_(master), path_(std::move(path)) {}
  ~PtySink() override { close(master_); }

  std::string Address() const override { return "serial:" + path_ + "@921600"; }

  Expected<bool> WaitForReader(const std::atomic<bool>& stop) override {
    while (!stop) {
      if (!HungUp()) {
        MakeRaw();
        // The reader sets its line and throws away what came before.
        usleep(200'000);
        return !stop;
      }
      usleep(20'000);
    }
    return false;
  }

  Expected<bool> Write(std::string_view text,
                       const std::atomic<bool>& stop) override {
    // Small pieces: a reader that has gone is noticed, a full line is waited
    // for.
    constexpr std::size_t kPiece = 1024;
    while (!text.empty()) {
      if (HungUp()) return false;
      const std::string_view piece = text.substr(0, kPiece);
      auto written = WriteAll(master_, piece, path_, stop);
      if (!written || !*written) return written;
      text.remove_prefix(piece.size());
    }
    return true;
  }

  void Drain(const std::atomic<bool>& stop) override {
    const int slave = OpenSlave();
    if (slave < 0) return;
    int quiet = 0;
    for (int i = 0; i < 100 && quiet < 3 && !stop; ++i) {
      int waiting = 0;
      ioctl(slave, FIONREAD, &waiting);
      quiet = waiting == 0 ? quiet + 1 : 0;
      usleep(20'000);
    }
    close(slave);
  }

  // From here on the master reports a hang-up while nobody has the port open.
  void LetGo() {
    const int slave = OpenSlave();
    if (slave >= 0) close(slave);
  }

 private:
  int OpenSlave() const {
    return open(path_.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  }
  bool HungUp() const {
    pollfd look{master_, 0, 0};
    return poll(&look, 1, 0) > 0 && (look.revents & POLLHUP) != 0;
  }
  // For a reader that leaves the line as it finds it: no echo, no line ends
  // turned into others.
  void MakeRaw() const {
    const int slave = OpenSlave();
    if (slave < 0) return;
    struct termios line;
    if (tcgetattr(slave, &line) == 0) {
      cfmakeraw(&line);
      tcsetattr(slave, TCSANOW, &line);
    }
    close(slave);
  }

  int master_;
  std::string path_;
};

}  // namespace

Expected<std::unique_ptr<Sink>> OpenPtySink() {
  const auto fail = [](int fd) {
    const std::string reason = std::strerror(errno);
    if (fd >= 0) close(fd);
    return MachineFailure("pty", "no pseudo-terminal to be had: " + reason);
  };
  const int master = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
  if (master < 0 || grantpt(master) != 0 || unlockpt(master) != 0) {
    return fail(master);
  }
  char path[64];
  if (ptsname_r(master, path, sizeof path) != 0 ||
      fcntl(master, F_SETFL, O_NONBLOCK) != 0) {
    return fail(master);
  }
  auto sink = std::make_unique<PtySink>(master, path);
  sink->LetGo();
  return sink;
}

}  // namespace masseter
