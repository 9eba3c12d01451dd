#include <asm/termbits.h>
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <cstdlib>
#include <string>
#include <string_view>

#include "device/source_testing.h"

namespace masseter {
namespace {

// The device's end of a cable whose other end is `path`.
struct Cable {
  Cable() : device(posix_openpt(O_RDWR | O_NOCTTY)) {
    char name[128] = {};
    opened = device >= 0 && grantpt(device) == 0 && unlockpt(device) == 0 &&
             ptsname_r(device, name, sizeof name) == 0;
    path = name;
  }
  ~Cable() { Unplug(); }
  void Unplug() {
    if (device >= 0) close(device);
    device = -1;
  }
  bool Print(std::string_view text) const {
    return write(device, text.data(), text.size()) ==
           static_cast<ssize_t>(text.size());
  }
  int device = -1;
  bool opened = false;
  std::string path;
};

TEST(SerialSource, HandsOnWhatTheDevicePrintsInOddPieces) {
  Cable cable;
  ASSERT_TRUE(cable.opened);
  Listening listening("serial:" + cable.path + "@921600");
  ASSERT_TRUE(listening.RunUntil([&] { return !listening.up.empty(); }))
      << listening.EndText();
  EXPECT_EQ(listening.up, cable.path + " at 921600 baud, 8N1");

  // Bytes that a terminal would translate or act on must come through raw.
  const std::string text =
      std::string("seq,c1\r\n1,2\r\n3,4\n\x03\x04\x11\x13\x1a\x7f") + '\0' +
      "\xff\xfe,5\r\n";
  for (std::size_t i = 0; i < text.size(); i += 3) {
    ASSERT_TRUE(cable.Print(std::string_view(text).substr(i, 3)));
    listening.io.poll();
  }
  ASSERT_TRUE(listening.RunUntil(
      [&] { return listening.bytes.size() >= text.size(); }));
  EXPECT_EQ(listening.bytes, text);
  EXPECT_GT(listening.times.front(), 1.7e9);
  EXPECT_EQ(listening.ends, 0);
}

TEST(SerialSource, EndsWithAnErrorWhenTheCableIsPulled) {
  Cable cable;
  Listening listening("serial:" + cable.path + "@115200");
  ASSERT_TRUE(listening.RunUntil([&] { return !listening.up.empty(); }));
  ASSERT_TRUE(cable.Print("1,2\n"));
  ASSERT_TRUE(listening.RunUntil([&] { return listening.bytes == "1,2\n"; }));
  cable.Unplug();
  ASSERT_TRUE(listening.RunToEnd());
  ASSERT_TRUE(listening.end_error);
  EXPECT_EQ(listening.end_error->kind, ErrorKind::kMachine);
  EXPECT_EQ(listening.EndText(),
            cable.path + ": the port is gone; was the sleeve unplugged");
  listening.io.restart();
  listening.io.run();
  EXPECT_EQ(listening.ends, 1);
}

TEST(SerialSource, SetsABaudRateThatIsNoStandardOneAndLeavesDtrAlone) {
  Cable cable;
  Listening listening("serial:" + cable.path + "@123456");
  ASSERT_TRUE(listening.RunUntil([&] { return !listening.up.empty(); }));
  struct termios2 line;
  ASSERT_EQ(ioctl(cable.device, TCGETS2, &line), 0);
  EXPECT_EQ(line.c_ospeed, 123456u);
  EXPECT_EQ(line.c_ispeed, 123456u);
  EXPECT_EQ(line.c_cflag & HUPCL, 0u);
  EXPECT_EQ(line.c_cflag & CRTSCTS, 0u);
  EXPECT_EQ(line.c_lflag, 0u);
}

TEST(SerialSource, KeepsASecondProgramOut) {
  Cable cable;
  Listening first("serial:" + cable.path);
  ASSERT_TRUE(first.RunUntil([&] { return !first.up.empty(); }));
  Listening second("serial:" + cable.path);
  ASSERT_TRUE(second.RunToEnd());
  EXPECT_EQ(second.EndText(),
            cable.path + ": in use by another program; close that first");
  first.source->Stop();
  Listening third("serial:" + cable.path);
  EXPECT_TRUE(third.RunUntil([&] { return !third.up.empty(); }));
}

TEST(SerialSource, NamesTheCureWhenThePortCannotBeOpened) {
  Listening missing("serial:/dev/no-such-port@9600");
  ASSERT_TRUE(missing.RunToEnd());
  EXPECT_EQ(missing.EndText(),
            "/dev/no-such-port: no such port; plug the sleeve in and see which "
            "one appears with ls /dev/tty*");
  Listening not_serial("serial:/dev/null");
  ASSERT_TRUE(not_serial.RunToEnd());
  EXPECT_EQ(not_serial.EndText(),
            "/dev/null: not a serial port; for a file say file:PATH");
}

TEST(SerialSource, SaysNothingAfterStop) {
  Cable cable;
  Listening listening("serial:" + cable.path);
  ASSERT_TRUE(listening.RunUntil([&] { return !listening.up.empty(); }));
  listening.source->Stop();
  ASSERT_TRUE(cable.Print("1,2\n"));
  cable.Unplug();
  listening.io.restart();
  listening.io.run();
  EXPECT_EQ(listening.bytes, "");
  EXPECT_EQ(listening.ends, 0);
}

}  // namespace
}  // namespace masseter
