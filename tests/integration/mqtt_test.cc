// A real broker, killed and started again: nothing is missing that was
// published with quality of service 1, and nothing is there twice.
#include <mosquitto.h>
#include <sys/stat.h>

#include <atomic>

#include "tests/integration/program.h"
#include "tests/integration/sockets.h"
#include "wire/frame.h"
#include "wire/golden_testing.h"

namespace masseter::integration {
namespace {

constexpr const char* kBrokerProgram = "/usr/sbin/mosquitto";
constexpr const char* kTopic = "club/sleeve";

class Broker {
 public:
  Broker() : port_(FreeTcpPort()) {
    conf_ = folder_.Write(
        "broker.conf", "listener " + std::to_string(port_) +
                           " 127.0.0.1\n"
                           "allow_anonymous true\n"
                           "persistence true\n"
                           "persistence_location " +
                           (folder_ / "") +
                           "\n"
                           "autosave_on_changes true\n"
                           "autosave_interval 1\n"
                           "max_queued_messages 0\n"
                           "user " +
                           std::string(getuid() == 0 ? "root" : "mosquitto") +
                           "\n");
    Start();
  }
  void Start() {
    process_ = std::make_unique<Process>(kBrokerProgram,
                                         std::vector<std::string>{"-c", conf_});
    ASSERT_TRUE(Eventually([&] { return Answers(); })) << process_->err();
  }
  void Stop(int signal) {
    process_->Signal(signal);
    process_->Wait();
  }
  int port() const { return port_; }
  std::string Source() const {
    return "mqtt:127.0.0.1:" + std::to_string(port_) + "/" + kTopic;
  }

 private:
  bool Answers() const {
    const int fd = ConnectTo(port_);
    if (fd >= 0) close(fd);
    return fd >= 0;
  }

  Folder folder_;
  int port_;
  std::string conf_;
  std::unique_ptr<Process> process_;
};

// The sleeve's side: the library connects again by itself and repeats what the
// broker has not confirmed.
class Publisher {
 public:
  explicit Publisher(int port) {
    mosquitto_lib_init();
    client_ = mosquitto_new("sleeve", false, this);
    mosquitto_reconnect_delay_set(client_, 1, 1, false);
    mosquitto_publish_callback_set(client_, [](mosquitto*, void* self, int) {
      ++static_cast<Publisher*>(self)->confirmed_;
    });
    mosquitto_connect(client_, "127.0.0.1", port, 10);
    mosquitto_loop_start(client_);
  }
  ~Publisher() {
    mosquitto_disconnect(client_);
    mosquitto_loop_stop(client_, false);
    mosquitto_destroy(client_);
  }
  void Publish(const std::string& payload) {
    mosquitto_publish(client_, nullptr, kTopic,
                      static_cast<int>(payload.size()), payload.data(), 1,
                      false);
    ++published_;
  }
  bool Confirmed() {
    return Eventually([&] { return confirmed_ >= published_; });
  }

 private:
  mosquitto* client_;
  std::atomic<int> published_{0};
  std::atomic<int> confirmed_{0};
};

// The capture as messages of 50 lines.
std::vector<std::string> Messages() {
  std::ifstream in(Example("capture.csv"));
  std::vector<std::string> messages;
  std::string line;
  for (int i = 0; std::getline(in, line); ++i) {
    if (i % 50 == 0) messages.emplace_back();
    // The last line end is left out: a message ends a line.
    messages.back() += (i % 50 == 0 ? "" : "\n") + line;
  }
  return messages;
}

nlohmann::json ImportedBites(std::uint64_t* samples) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  const Said said =
      Masseter({"import", book, Example("capture.csv"), "--json"});
  EXPECT_EQ(said.exit, 0) << said.err;
  *samples = said.Json()["samples"];
  return BitesOf(book);
}

std::uint64_t Samples(const std::string& book) {
  const nlohmann::json j = Masseter({"status", book, "--json"}).Json();
  if (j["captures"].empty()) return 0;
  return j["captures"][0]["samples"].get<std::uint64_t>();
}

TEST(MqttLive, NothingIsMissingOrDoubleAfterTheBrokerWasKilledTwice) {
  Broker broker;
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  std::uint64_t samples = 0;
  const nlohmann::json imported = ImportedBites(&samples);
  const std::vector<std::string> messages = Messages();
  Process live(
      {"live", book, "--from", broker.Source(), "--no-page", "--json"});
  ASSERT_TRUE(live.Says("Recording: ")) << live.err();

  Publisher sleeve(broker.port());
  std::size_t next = 0;
  const auto publish = [&](std::size_t until) {
    for (; next < until; ++next) sleeve.Publish(messages[next]);
  };
  publish(messages.size() / 3);
  ASSERT_TRUE(sleeve.Confirmed());
  // What a broker that is killed has not written yet would be its loss.
  ASSERT_TRUE(Eventually([&] { return Samples(book) > samples / 4; }));
  std::this_thread::sleep_for(std::chrono::milliseconds(500));
  broker.Stop(SIGKILL);
  EXPECT_TRUE(Eventually([&] {
    return live.err().find("Lost: ") != std::string::npos;
  })) << live.err();
  broker.Start();
  publish(messages.size() / 2);
  ASSERT_TRUE(sleeve.Confirmed());

  // The recorder sleeps while messages come and the broker is restarted: what
  // lies in its socket unconfirmed is sent again.
  live.Signal(SIGSTOP);
  publish(3 * messages.size() / 4);
  ASSERT_TRUE(sleeve.Confirmed());
  broker.Stop(SIGTERM);
  broker.Start();
  live.Signal(SIGCONT);
  publish(messages.size());
  ASSERT_TRUE(sleeve.Confirmed());
  EXPECT_TRUE(Eventually([&] { return Samples(book) == samples; }));
  live.Signal(SIGINT);
  const Said said = live.Wait();
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(Samples(book), samples);
  EXPECT_EQ(Difference(BitesOf(book), imported), "");
}

TEST(MqttLive, TakesFramesToo) {
  Broker broker;
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  Process live(
      {"live", book, "--from", broker.Source(), "--no-page", "--json"});
  ASSERT_TRUE(live.Says("Recording: ")) << live.err();
  Publisher sleeve(broker.port());
  const auto hello = ReadGolden("hello").wire;
  sleeve.Publish({hello.begin(), hello.end()});
  // A sleeve that sends nothing again: what it held before is not waited for.
  auto raw = ReadGolden("samples_24bit").raw;
  raw[2] = 0;
  std::string frame(WIRE_ROOM(raw.size() + WIRE_CRC_BYTES), '\0');
  const std::size_t size = raw.size();
  raw.resize(size + WIRE_CRC_BYTES);
  frame.resize(wire_close(raw.data(), size,
                          reinterpret_cast<std::uint8_t*>(frame.data())));
  sleeve.Publish(frame);
  ASSERT_TRUE(sleeve.Confirmed());
  EXPECT_TRUE(Eventually([&] { return Samples(book) == 2; }));
  live.Signal(SIGINT);
  EXPECT_EQ(live.Wait().exit, 0);
}

TEST(MqttLive, SaysThatNoBrokerAnswers) {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  const Said said =
      Masseter({"live", book, "--from",
                "mqtt:127.0.0.1:" + std::to_string(FreeTcpPort()) + "/x",
                "--no-page", "--json"});
  EXPECT_EQ(said.exit, 4);
  EXPECT_NE(said.err.find("no broker answers there"), std::string::npos)
      << said.err;
}

}  // namespace
}  // namespace masseter::integration
