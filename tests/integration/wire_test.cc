// A sleeve that speaks frames (firmware/ on the host) and one that prints text,
// lost and found again: the same bites as importing what they sampled.
#include <sys/stat.h>

#include "tests/integration/program.h"
#include "tests/integration/sockets.h"

namespace masseter::integration {
namespace {

// The example's day as an undisturbed sleeve would have sampled it: numbered
// and timed without a hole. 15.7 s long, 500 samples a second.
std::string EvenCapture(const Folder& folder) {
  std::ifstream in(Example("capture.csv"));
  std::string line;
  std::string text;
  std::getline(in, line);
  text += line + "\n";
  for (int i = 0; std::getline(in, line); ++i) {
    if (std::count(line.begin(), line.end(), ',') != 6 ||
        line.find_first_not_of("0123456789,-") != std::string::npos) {
      --i;  // a broken line
      continue;
    }
    const std::size_t counts = line.find(',', line.find(',') + 1);
    const std::size_t supply = line.rfind(',');
    text += std::to_string(i) + "," + std::to_string(1000000 + 2000 * i) +
            line.substr(counts, supply - counts) + ",3900\n";
  }
  return folder.Write("even.csv", text);
}

struct Day {
  Folder folder;
  std::string capture = EvenCapture(folder);
  std::string book = CalibratedBook(folder);
  nlohmann::json imported;
  std::uint64_t samples = 0;

  Day() {
    const std::string other = CalibratedBook(folder, "other.book");
    const Said said = Masseter({"import", other, capture, "--json"});
    EXPECT_EQ(said.exit, 0) << said.err;
    samples = said.Json()["samples"];
    imported = BitesOf(other);
    EXPECT_EQ(imported.size(), 3u);
  }
  nlohmann::json Capture(std::size_t index = 0) const {
    return Masseter({"status", book, "--json"}).Json()["captures"][index];
  }
};

std::vector<std::string> Sleeve(const Day& day, const std::string& to,
                                std::vector<std::string> options) {
  options.insert(options.begin(), {day.capture, to});
  return options;
}

// Ten times its pace; the ring holds the whole day.
std::vector<std::string> Fast(std::vector<std::string> options) {
  options.insert(options.end(),
                 {"--speed", "10", "--linger", "1", "--ring", "8000"});
  return options;
}

std::string AddressOf(const Process& sleeve) {
  EXPECT_TRUE(
      Eventually([&] { return sleeve.out().find('\n') != std::string::npos; }));
  const std::string out = sleeve.out();
  return out.substr(7, out.find('\n') - 7);
}

void ExpectWhole(const Day& day) {
  EXPECT_EQ(Difference(BitesOf(day.book), day.imported), "");
  const nlohmann::json capture = day.Capture();
  EXPECT_EQ(capture["samples"], day.samples);
  EXPECT_EQ(capture["gaps"], 0);
}

TEST(WireLive, UdpWithLossDuplicatesReorderingAndAGapOfThreeSecondsIsWhole) {
  const Day day;
  const std::string port = std::to_string(FreeUdpPort());
  Process live(
      {"live", day.book, "--from", "udp:" + port, "--no-page", "--json"});
  ASSERT_TRUE(live.Says("Recording: ")) << live.err();
  // At five times its pace the sleeve takes 2500 samples a second: a ring of
  // 12500 lasts five seconds, fifteen seconds of its clock are a gap of three.
  Process sleeve(MASSETER_SLEEVE,
                 Sleeve(day, "udp:127.0.0.1:" + port,
                        {"--speed", "5", "--loss", "0.2", "--duplication",
                         "0.05", "--reordering", "0.1", "--ring", "12500",
                         "--cut", "0.6", "--away", "15", "--linger", "3"}));
  EXPECT_EQ(sleeve.Wait().exit, 0);
  live.Signal(SIGINT);
  const Said said = live.Wait();
  EXPECT_EQ(said.exit, 0) << said.err;
  ExpectWhole(day);
}

TEST(WireImport, AFileOfFramesGivesTheBitesOfItsText) {
  const Day day;
  const std::string frames = day.folder / "day.frames";
  Process sleeve(MASSETER_SLEEVE, Sleeve(day, "file:" + frames,
                                         {"--speed", "50", "--linger", "0.1"}));
  EXPECT_EQ(sleeve.Wait().exit, 0);
  const Said said = Masseter({"import", day.book, frames, "--json"});
  EXPECT_EQ(said.exit, 0) << said.err;
  ExpectWhole(day);
}

TEST(WireLive, ATcpConnectionThatBreaksIsOpenedAgainAndNothingIsMissing) {
  const Day day;
  Process sleeve(MASSETER_SLEEVE,
                 Sleeve(day, "tcp", Fast({"--cut", "4.2", "--away", "6"})));
  Process live(
      {"live", day.book, "--from", AddressOf(sleeve), "--no-page", "--json"});
  EXPECT_TRUE(live.Says("Lost: ")) << live.err();
  EXPECT_TRUE(live.Says("Recording again: ")) << live.err();
  EXPECT_EQ(sleeve.Wait().exit, 0);
  live.Signal(SIGINT);
  live.Wait();
  ExpectWhole(day);
}

TEST(WireLive, ATcpPeerThatStallsGoesOnWithoutALoss) {
  const Day day;
  Process sleeve(
      MASSETER_SLEEVE,
      Sleeve(day, "tcp", Fast({"--cut", "4", "--away", "6", "--stall"})));
  Process live(
      {"live", day.book, "--from", AddressOf(sleeve), "--no-page", "--json"});
  EXPECT_EQ(sleeve.Wait().exit, 0);
  live.Signal(SIGINT);
  live.Wait();
  ExpectWhole(day);
}

TEST(WireLive, ASerialLineThatIsUnpluggedAndPluggedInAgainIsWhole) {
  const Day day;
  const std::string port = day.folder / "ttySleeve";
  Process sleeve(MASSETER_SLEEVE, Sleeve(day, "pty:" + port,
                                         Fast({"--cut", "6", "--away", "5"})));
  Process live(
      {"live", day.book, "--from", AddressOf(sleeve), "--no-page", "--json"});
  EXPECT_TRUE(live.Says("the port is gone")) << live.err();
  EXPECT_TRUE(live.Says("Recording again: ")) << live.err();
  EXPECT_EQ(sleeve.Wait().exit, 0);
  live.Signal(SIGINT);
  live.Wait();
  ExpectWhole(day);
}

TEST(WireLive, ARestartIsOneBreakAndTwoSleevesAtOnceStayApart) {
  const Day day;
  Process first(MASSETER_SLEEVE, Sleeve(day, "tcp", Fast({"--reboot", "7.5"})));
  Process second(MASSETER_SLEEVE, Sleeve(day, "tcp", Fast({})));
  Process live({"live", day.book, "--from", AddressOf(first), "--from",
                AddressOf(second), "--no-page", "--json"});
  EXPECT_EQ(first.Wait().exit, 0);
  EXPECT_EQ(second.Wait().exit, 0);
  live.Signal(SIGINT);
  const Said said = live.Wait();
  ASSERT_EQ(said.Json()["captures"].size(), 2u) << said.err;
  for (std::size_t i = 0; i < 2; ++i) {
    const nlohmann::json capture = day.Capture(i);
    if (capture["gaps"] == 0) {
      EXPECT_EQ(capture["samples"], day.samples);
    } else {
      // What was in the ring unsent when it restarted: a frame at most, and
      // what lay in the line.
      EXPECT_EQ(capture["gaps"], 1);
      EXPECT_GE(capture["samples"], day.samples - 64);
    }
  }
  EXPECT_EQ(
      day.Capture(0)["gaps"].get<int>() + day.Capture(1)["gaps"].get<int>(), 1);
}

TEST(TextLive, APeerThatComesBackGoesOnInTheSameCaptureWithAGap) {
  const Day day;
  const std::string text = FileText(day.capture);
  const Listener device;
  Process live({"live", day.book, "--from",
                "tcp:127.0.0.1:" + std::to_string(device.port), "--no-page",
                "--json"});
  // Torn in the middle of a line, then a hundred lines on.
  const std::size_t half = text.size() / 2;
  std::size_t on = half;
  for (int i = 0; i < 100; ++i) on = text.find('\n', on) + 1;
  int client = device.Accept();
  SendAll(client, text.substr(0, half));
  close(client);
  EXPECT_TRUE(live.Says("Lost: ")) << live.err();
  client = device.Accept();
  SendAll(client, text.substr(on));
  std::this_thread::sleep_for(std::chrono::milliseconds(500));
  live.Signal(SIGINT);
  const Said said = live.Wait();
  close(client);
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(said.Json()["captures"].size(), 1u);
  EXPECT_EQ(day.Capture()["gaps"], 1);
  EXPECT_EQ(day.Capture()["samples"], day.samples - 100);
}

// What the recorder tells a page, as it goes over the wire: messages from a
// server are not masked (RFC 6455, 5.1).
class Page {
 public:
  explicit Page(int port) : fd_(ConnectTo(port)) {
    const std::string host = "127.0.0.1:" + std::to_string(port);
    SendAll(fd_, "GET /live HTTP/1.1\r\nHost: " + host + "\r\nOrigin: http://" +
                     host +
                     "\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
                     "Sec-WebSocket-Version: 13\r\n"
                     "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n");
  }
  ~Page() { close(fd_); }
  Page(const Page&) = delete;
  Page& operator=(const Page&) = delete;

  // Waits for words, and forgets everything up to them.
  bool Hears(const std::string& words) {
    return Eventually([&] {
      char bytes[65536];
      const ssize_t n = recv(fd_, bytes, sizeof bytes, MSG_DONTWAIT);
      if (n > 0) heard_.append(bytes, static_cast<std::size_t>(n));
      const std::size_t at = heard_.find(words);
      if (at == std::string::npos) return false;
      heard_.erase(0, at);
      return true;
    });
  }

 private:
  int fd_;
  std::string heard_;
};

TEST(TextLive, ThePageSaysThatTheSleeveIsLostAndThatItIsBack) {
  const Day day;
  const std::string text = FileText(day.capture);
  const std::size_t half = text.find('\n', text.size() / 2) + 1;
  const int port = FreeTcpPort();
  const Listener device;
  Process live({"live", day.book, "--from",
                "tcp:127.0.0.1:" + std::to_string(device.port), "--listen",
                "127.0.0.1:" + std::to_string(port), "--json"});
  int client = device.Accept();
  SendAll(client, text.substr(0, half));
  Page page(port);
  EXPECT_TRUE(page.Hears(R"("link":"ok")"));
  close(client);
  EXPECT_TRUE(page.Hears("closed the connection; looking for it"));
  EXPECT_TRUE(page.Hears(R"("link":"lost")"));
  client = device.Accept();
  SendAll(client, text.substr(half));
  EXPECT_TRUE(page.Hears("Recording again: "));
  EXPECT_TRUE(page.Hears(R"("link":"ok")"));
  live.Signal(SIGINT);
  EXPECT_EQ(live.Wait().exit, 0);
  close(client);
  EXPECT_EQ(day.Capture()["samples"], day.samples);
  EXPECT_EQ(day.Capture()["gaps"], 0);
}

TEST(TextLive, APeerThatTakesAConnectionAndSaysNothingIsNotThere) {
  const Day day;
  const Listener device;  // goes on listening, and never accepts again
  Process live({"live", day.book, "--from",
                "tcp:127.0.0.1:" + std::to_string(device.port), "--no-page",
                "--json", "--reconnect", "1"});
  const int client = device.Accept();
  SendAll(client, FileText(day.capture));
  close(client);
  const Said said = live.Wait(20.0);
  EXPECT_EQ(said.exit, 4) << said.err;
  EXPECT_EQ(Difference(BitesOf(day.book), day.imported), "");
}

TEST(TextLive, APeerThatStaysAwayEndsTheRecordingAfterTheTimeAskedFor) {
  const Day day;
  int client = -1;
  Said said;
  {
    const Listener device;
    Process live({"live", day.book, "--from",
                  "tcp:127.0.0.1:" + std::to_string(device.port), "--no-page",
                  "--json", "--reconnect", "0"});
    client = device.Accept();
    SendAll(client, FileText(day.capture));
    close(client);
    said = live.Wait();
  }
  EXPECT_EQ(said.exit, 4) << said.err;
  EXPECT_NE(said.err.find("closed the connection"), std::string::npos);
  EXPECT_EQ(said.err.find("looking for it"), std::string::npos);
  EXPECT_EQ(Difference(BitesOf(day.book), day.imported), "");
}

}  // namespace
}  // namespace masseter::integration
