// One capture through every kind of source: the same bites as importing it.
#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <termios.h>

#include <cmath>
#include <functional>

#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

std::vector<std::string> Companions() {
  return {"--roster", Example("roster.csv"), "--marks", Example("marks.csv")};
}

std::vector<std::string> Live(const std::string& book,
                              const std::string& source) {
  std::vector<std::string> call = {"live", book,        "--from",
                                   source, "--no-page", "--json"};
  for (const std::string& word : Companions()) call.push_back(word);
  return call;
}

nlohmann::json ImportedBites() {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  std::vector<std::string> call = {"import", book, Example("capture.csv")};
  for (const std::string& word : Companions()) call.push_back(word);
  EXPECT_EQ(Masseter(call).exit, 0);
  return BitesOf(book);
}

// The capture in pieces that end anywhere.
void InPieces(const std::function<void(const char*, std::size_t)>& send) {
  const std::string text = FileText(Example("capture.csv"));
  std::size_t at = 0;
  for (std::size_t size = 700; at < text.size(); size = 300 + size % 1511) {
    const std::size_t n = std::min(size, text.size() - at);
    send(text.data() + at, n);
    at += n;
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
}

void WriteAll(int fd, const char* data, std::size_t size) {
  while (size > 0) {
    const ssize_t n = write(fd, data, size);
    if (n <= 0) return;
    data += n;
    size -= static_cast<std::size_t>(n);
  }
}

// A socket on the loopback at a port that the system chooses.
struct Loopback {
  explicit Loopback(int kind) : fd(socket(AF_INET, kind, 0)) {
    sockaddr_in at{};
    at.sin_family = AF_INET;
    at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof at;
    bind(fd, reinterpret_cast<sockaddr*>(&at), size);
    getsockname(fd, reinterpret_cast<sockaddr*>(&at), &size);
    port = ntohs(at.sin_port);
  }
  int fd;
  int port = 0;
};

TEST(LiveSource, FileGivesTheBitesOfImport) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  const Said said = Masseter(Live(book, "file:" + Example("capture.csv")));
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(said.Json()["bites"], 3);
  EXPECT_TRUE(said.Json()["lost"].is_null());
  EXPECT_EQ(Difference(BitesOf(book), ImportedBites()), "");
}

TEST(LiveSource, StandardInputGivesTheBitesOfImport) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  int ends[2];
  ASSERT_EQ(pipe2(ends, O_CLOEXEC), 0);
  Process live(Live(book, "-"), ends[0]);
  close(ends[0]);
  InPieces(
      [&](const char* data, std::size_t n) { WriteAll(ends[1], data, n); });
  close(ends[1]);
  const Said said = live.Wait();
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(Difference(BitesOf(book), ImportedBites()), "");
}

TEST(LiveSource, TcpGivesTheBitesOfImportAndSaysThatTheDeviceClosed) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  const Loopback device(SOCK_STREAM);
  ASSERT_EQ(listen(device.fd, 1), 0);
  Process live(Live(book, "tcp:127.0.0.1:" + std::to_string(device.port)));
  const int client = accept4(device.fd, nullptr, nullptr, SOCK_CLOEXEC);
  ASSERT_GE(client, 0);
  InPieces([&](const char* data, std::size_t n) { WriteAll(client, data, n); });
  close(client);
  close(device.fd);
  const Said said = live.Wait();
  EXPECT_EQ(said.exit, 4) << said.err;
  EXPECT_NE(said.err.find("masseter: "), std::string::npos);
  EXPECT_NE(said.err.find("closed the connection"), std::string::npos);
  EXPECT_FALSE(said.Json()["lost"].is_null());
  EXPECT_EQ(Difference(BitesOf(book), ImportedBites()), "");
}

TEST(LiveSource, UdpGivesTheBitesOfImportUntilItIsInterrupted) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  int port = 0;
  {
    const Loopback any(SOCK_DGRAM);
    port = any.port;
    close(any.fd);
  }
  Process live(Live(book, "udp:" + std::to_string(port)));
  ASSERT_TRUE(Eventually([&] {
    return live.err().find("Recording: ") != std::string::npos;
  })) << live.err();
  const Loopback device(SOCK_DGRAM);
  sockaddr_in to{};
  to.sin_family = AF_INET;
  to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  to.sin_port = htons(static_cast<std::uint16_t>(port));
  InPieces([&](const char* data, std::size_t n) {
    sendto(device.fd, data, n, 0, reinterpret_cast<const sockaddr*>(&to),
           sizeof to);
  });
  close(device.fd);
  std::this_thread::sleep_for(std::chrono::milliseconds(500));
  live.Signal(SIGINT);
  const Said said = live.Wait();
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(Difference(BitesOf(book), ImportedBites()), "");
}

TEST(LiveSource, SerialLineGivesTheBitesOfImport) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  const int device = posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC);
  ASSERT_GE(device, 0);
  ASSERT_EQ(grantpt(device), 0);
  ASSERT_EQ(unlockpt(device), 0);
  const std::string path = ptsname(device);
  // Held open, so that the line is still there when the recorder is late.
  const int port = open(path.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
  Process live(Live(book, "serial:" + path + "@921600"));
  ASSERT_TRUE(Eventually([&] {
    return live.err().find("Recording: ") != std::string::npos;
  })) << live.err();
  InPieces([&](const char* data, std::size_t n) { WriteAll(device, data, n); });
  std::this_thread::sleep_for(std::chrono::milliseconds(800));
  live.Signal(SIGTERM);
  const Said said = live.Wait();
  close(port);
  close(device);
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(Difference(BitesOf(book), ImportedBites()), "");
}

TEST(LiveSource, TakesTheSimulatedSleeveFromEndToEnd) {
  const Folder folder;
  const std::string dir = folder / "sim";
  ASSERT_EQ(Masseter({"sim", "--files", dir, "--no-faults"}).exit, 0);
  const std::string book = folder / "sim.book";
  ASSERT_EQ(Masseter({"new", book, "--rig", dir + "/rig.toml"}).exit, 0);
  ASSERT_EQ(Masseter({"calibrate", book, dir + "/readings.csv"}).exit, 0);
  Process sleeve({"sim", "--to", "tcp:0", "--no-faults", "--speed", "20",
                  "--truth", folder / "truth.json"});
  const std::string words = "--from ";
  ASSERT_TRUE(Eventually([&] {
    return sleeve.out().find(words) != std::string::npos;
  })) << sleeve.err();
  std::string source = sleeve.out();
  source = source.substr(source.find(words) + words.size());
  source = source.substr(0, source.find('\n'));
  const Said said = Masseter({"live", book, "--from", source, "--no-page",
                              "--json", "--dog", "Juno", "--reconnect", "0"});
  EXPECT_EQ(said.exit, 4) << said.err;  // the sleeve was switched off
  EXPECT_EQ(sleeve.Wait().exit, 0);
  const auto truth = nlohmann::json::parse(FileText(folder / "truth.json"));
  EXPECT_EQ(said.Json()["bites"], truth["bites"].size());
  EXPECT_EQ(BitesOf(book)[0]["dog"], "Juno");
}

TEST(LiveRecording, KeepsWhatCameASecondBeforeItWasKilled) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  int ends[2];
  ASSERT_EQ(pipe2(ends, O_CLOEXEC), 0);
  Process live(Live(book, "-"), ends[0]);
  close(ends[0]);
  const std::string text = FileText(Example("capture.csv"));
  // Whole lines up to the middle of the third bite, then a second of silence.
  const std::size_t part = text.find('\n', text.size() * 3 / 4) + 1;
  std::size_t at = 0;
  while (at < part) {
    const std::size_t n = std::min<std::size_t>(4000, part - at);
    WriteAll(ends[1], text.data() + at, n);
    at += n;
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  std::this_thread::sleep_for(std::chrono::milliseconds(1000));
  live.Signal(SIGKILL);
  live.Wait();
  close(ends[1]);

  // What an import of the same part would have stored.
  const std::string cut = folder.Write("part.csv", text.substr(0, part));
  const std::string other = CalibratedBook(folder, "other.book");
  std::vector<std::string> call = {"import", other, cut, "--json"};
  for (const std::string& word : Companions()) call.push_back(word);
  const Said imported = Masseter(call);
  ASSERT_EQ(imported.exit, 0) << imported.err;
  EXPECT_EQ(Difference(BitesOf(book), BitesOf(other)), "");
  const nlohmann::json status = Masseter({"status", book, "--json"}).Json();
  EXPECT_EQ(status["captures"][0]["samples"], imported.Json()["samples"]);
  EXPECT_EQ(status["captures"][0]["open"], false);
}

TEST(LiveRecording, IsRefusedWhileAnotherRecordsIntoTheSameLogbook) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  int ends[2];
  ASSERT_EQ(pipe2(ends, O_CLOEXEC), 0);
  Process live(Live(book, "-"), ends[0]);
  close(ends[0]);
  ASSERT_TRUE(Eventually(
      [&] { return live.err().find("Recording: ") != std::string::npos; }));
  const Said second = Masseter(Live(book, "file:" + Example("capture.csv")));
  EXPECT_NE(second.exit, 0);
  EXPECT_EQ(std::count(second.err.begin(), second.err.end(), '\n'), 1);
  close(ends[1]);
  EXPECT_EQ(live.Wait().exit, 0);
}

}  // namespace
}  // namespace masseter::integration
