// termios2 comes from the kernel's own header, which cannot stand beside
// <termios.h>: so nothing of Boost here.
#include "device/serial_line.h"

#include <asm/termbits.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

namespace masseter {
namespace {

std::string WhyNotOpened(int error) {
  switch (error) {
    case EACCES:
    case EPERM:
      return "permission denied; add yourself to the group dialout (sudo "
             "usermod -aG dialout $USER, then log in again) or run with sudo";
    case ENOENT:
      return "no such port; plug the sleeve in and see which one appears with "
             "ls /dev/tty*";
    case EBUSY:
      return "in use by another program; close that first";
    case ENODEV:
    case ENXIO:
      return "no device behind this port; unplug the sleeve and plug it in "
             "again";
    case EISDIR:
      return "a folder, not a serial port";
    default:
      return std::string("cannot be opened: ") + std::strerror(error);
  }
}

// Raw 8N1 at `baud`; what went wrong, or empty.
std::string MakeRaw(int fd, int baud) {
  struct termios2 line;
  if (ioctl(fd, TCGETS2, &line) != 0) {
    return "not a serial port; for a file say file:PATH";
  }
  line.c_iflag = 0;
  line.c_oflag = 0;
  line.c_lflag = 0;
  // Not HUPCL: closing leaves DTR alone.
  line.c_cflag = CS8 | CREAD | CLOCAL | BOTHER | (BOTHER << IBSHIFT);
  line.c_ispeed = static_cast<speed_t>(baud);
  line.c_ospeed = static_cast<speed_t>(baud);
  line.c_cc[VMIN] = 1;
  line.c_cc[VTIME] = 0;
  if (ioctl(fd, TCSETS2, &line) != 0 || ioctl(fd, TCGETS2, &line) != 0) {
    return "does not take " + std::to_string(baud) +
           " baud: " + std::strerror(errno);
  }
  // Asynchronous reception tolerates some 5 % between the two ends in all
  // (10 bits, sampled in their middle); 3 % leaves the device its share.
  const double off = static_cast<double>(line.c_ospeed) / baud - 1.0;
  if (off > 0.03 || off < -0.03) {
    return "cannot do " + std::to_string(baud) + " baud (it offers " +
           std::to_string(line.c_ospeed) + ")";
  }
  return "";
}

}  // namespace

Expected<int> OpenSerialLine(const std::string& path, int baud) {
  const int fd = open(path.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  if (fd < 0) return MachineFailure(path, WhyNotOpened(errno));
  std::string fault;
  if (flock(fd, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK) {
    fault = WhyNotOpened(EBUSY);
  } else {
    fault = MakeRaw(fd, baud);
  }
  if (!fault.empty()) {
    close(fd);
    return MachineFailure(path, fault);
  }
  return fd;
}

Error LostSerialLine(const std::string& path, int error) {
  std::string what = "the port is gone; was the sleeve unplugged";
  // A port that vanishes reads as end of file or as EIO.
  if (error != 0 && error != EIO) {
    what = std::string("reading failed: ") + std::strerror(error);
  }
  return {ErrorKind::kMachine, path, what};
}

}  // namespace masseter
