// One capture through every kind of source: the same bites as importing it.
#include <termios.h>

#include <cmath>
#include <functional>

#include "tests/integration/program.h"
#include "tests/integration/sockets.h"

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
void InPieces(const std::function<void(std::string_view)>& send) {
  const std::string text = FileText(Example("capture.csv"));
  std::size_t at = 0;
  for (std::size_t size = 700; at < text.size(); size = 300 + size % 1511) {
    const std::size_t n = std::min(size, text.size() - at);
    send(std::string_view(text).substr(at, n));
    at += n;
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
}

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
  FedProcess live(Live(book, "-"));
  InPieces([&](std::string_view piece) { live.Write(piece); });
  live.EndOfInput();
  const Said said = live.Wait();
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(Difference(BitesOf(book), ImportedBites()), "");
}

TEST(LiveSource, TcpGivesTheBitesOfImportAndSaysThatTheDeviceClosed) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  const Listener device;
  Process live(Live(book, "tcp:127.0.0.1:" + std::to_string(device.port)));
  const int client = device.Accept();
  ASSERT_GE(client, 0);
  InPieces([&](std::string_view piece) { SendAll(client, piece); });
  close(client);
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
  const int port = FreeUdpPort();
  Process live(Live(book, "udp:" + std::to_string(port)));
  ASSERT_TRUE(live.Says("Recording: ")) << live.err();
  const int device = socket(AF_INET, SOCK_DGRAM | SOCK_CLOEXEC, 0);
  sockaddr_in to{};
  to.sin_family = AF_INET;
  to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  to.sin_port = htons(static_cast<std::uint16_t>(port));
  InPieces([&](std::string_view piece) {
    sendto(device, piece.data(), piece.size(), 0,
           reinterpret_cast<const sockaddr*>(&to), sizeof to);
  });
  close(device);
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
  ASSERT_TRUE(live.Says("Recording: ")) << live.err();
  InPieces([&](std::string_view piece) { WriteAll(device, piece); });
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
  const std::string book = SimulatedDay(folder);
  Process sleeve({"sim", "--to", "tcp:0", "--no-faults", "--speed", "20",
                  "--truth", folder / "truth.json"});
  const std::string words = "--from ";
  ASSERT_TRUE(sleeve.Says(words)) << sleeve.err();
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
  FedProcess live(Live(book, "-"));
  const std::string text = FileText(Example("capture.csv"));
  // Whole lines up to the middle of the third bite, then a second of silence.
  const std::size_t part = text.find('\n', text.size() * 3 / 4) + 1;
  std::size_t at = 0;
  while (at < part) {
    const std::size_t n = std::min<std::size_t>(4000, part - at);
    live.Write(std::string_view(text).substr(at, n));
    at += n;
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  std::this_thread::sleep_for(std::chrono::milliseconds(1000));
  live.Signal(SIGKILL);
  live.Wait();
  live.EndOfInput();

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
  FedProcess live(Live(book, "-"));
  ASSERT_TRUE(live.Says("Recording: ")) << live.err();
  const Said second = Masseter(Live(book, "file:" + Example("capture.csv")));
  EXPECT_NE(second.exit, 0);
  EXPECT_EQ(std::count(second.err.begin(), second.err.end(), '\n'), 1);
  live.EndOfInput();
  EXPECT_EQ(live.Wait().exit, 0);
}

}  // namespace
}  // namespace masseter::integration
