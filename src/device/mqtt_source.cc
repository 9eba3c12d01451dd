#include <mosquitto.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cstdlib>
#include <string_view>
#include <thread>
#include <utility>
//
#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/post.hpp>

#include "device/seen_payloads.h"
#include "device/source_session.h"

namespace masseter {
namespace {

constexpr int kKeepAliveS = 10;
constexpr int kTurnMs = 50;
constexpr int kQos = 1;
constexpr std::chrono::seconds kConnectLimit{10};
// Bytes that wait for the recorder; then the broker is read no further.
constexpr std::size_t kMostWaiting = 4 << 20;
// So long after a connection the broker may send again what it was not sure
// of. Later the same payload twice is two readings that are alike.
constexpr std::chrono::seconds kAgain{10};

// The broker keeps the session of this name while nobody is connected: the same
// computer and topic give the same name again.
std::string ClientId(const std::string& topic) {
  char host[256] = {};
  gethostname(host, sizeof host - 1);
  const std::string all = std::string(host) + "\n" + topic;
  return "masseter-" +
         std::to_string(wire_crc32c(
             0, reinterpret_cast<const std::uint8_t*>(all.data()), all.size()));
}

// Text without a line end gets one; what has a zero byte is frames.
std::string AsBytes(std::string payload) {
  const bool frames = payload.find('\0') != std::string::npos;
  if (!frames && !payload.empty() && payload.back() != '\n') payload += '\n';
  return payload;
}

std::string WhyRefused(int code) {
  if (code == 4 || code == 5) {
    return "the broker refuses this user; set MASSETER_MQTT_USER and "
           "MASSETER_MQTT_PASSWORD";
  }
  return std::string("the broker refuses: ") + mosquitto_connack_string(code);
}

// The library's loop runs on a thread of its own, since looking a name up
// waits; what it has to tell is posted to the io_context.
class MqttSession : public SourceSession {
 public:
  MqttSession(boost::asio::io_context& io, const SourceName& name)
      : SourceSession(io),
        name_(name),
        where_(name.text.substr(name.text.find(':') + 1)),
        work_(io.get_executor()) {}
  ~MqttSession() override { MqttSession::Close(); }

  void Send(std::span<const std::uint8_t> bytes) override {
    if (!up_) return;
    mosquitto_publish(client_, nullptr, (name_.path + "/back").c_str(),
                      static_cast<int>(bytes.size()), bytes.data(), 0, false);
  }

 private:
  void Begin() override {
    static const int kReady = mosquitto_lib_init();
    if (kReady == MOSQ_ERR_SUCCESS) {
      client_ = mosquitto_new(ClientId(name_.path).c_str(), false, this);
    }
    if (client_ == nullptr) return Fail("MQTT cannot be used here");
    mosquitto_connect_callback_set(
        client_, [](mosquitto*, void* self, int code) {
          static_cast<MqttSession*>(self)->OnConnect(code);
        });
    mosquitto_subscribe_callback_set(
        client_, [](mosquitto*, void* self, int, int, const int* granted) {
          static_cast<MqttSession*>(self)->OnSubscribed(*granted);
        });
    mosquitto_message_callback_set(
        client_, [](mosquitto*, void* self, const mosquitto_message* m) {
          static_cast<MqttSession*>(self)->OnMessage(*m);
        });
    mosquitto_threaded_set(client_, true);
    began_ = Clock::now();
    thread_ = std::thread([this] { Run(); });
  }

  // --- the thread of its own ---

  void Run() {
    const char* user = std::getenv("MASSETER_MQTT_USER");
    const char* password = std::getenv("MASSETER_MQTT_PASSWORD");
    if (user != nullptr) mosquitto_username_pw_set(client_, user, password);
    int code = mosquitto_connect_async(client_, name_.host.c_str(), name_.port,
                                       kKeepAliveS);
    while (code == MOSQ_ERR_SUCCESS && !stopped_ && why_.empty()) {
      // A recorder that is behind holds the broker up, not the memory.
      if (waiting_ > kMostWaiting) {
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
        continue;
      }
      code = mosquitto_loop(client_, kTurnMs, 1);
      if (!was_up_ && Clock::now() - began_ > kConnectLimit) break;
    }
    up_ = false;
    const std::string why = why_.empty() ? WhyLost(code) : why_;
    mosquitto_disconnect(client_);
    if (stopped_) return;
    boost::asio::post(io_, [this, self = weak_from_this(), why] {
      if (const auto alive = self.lock()) Fail(why);
    });
  }

  std::string WhyLost(int code) const {
    if (was_up_) return "the broker is gone";
    if (code == MOSQ_ERR_EAI) return "no host of this name";
    return "no broker answers there; is it running and the port right";
  }

  void OnConnect(int code) {
    if (code != 0) {
      why_ = WhyRefused(code);
      return;
    }
    mosquitto_subscribe(client_, nullptr, name_.path.c_str(), kQos);
  }

  void OnSubscribed(int granted) {
    if (granted > 2) {
      why_ = "the broker does not let this user read the topic";
      return;
    }
    was_up_ = true;
    up_ = true;
    boost::asio::post(io_, [this, self = weak_from_this()] {
      const auto alive = self.lock();
      if (!alive) return;
      Up("connected to the broker " + where_);
      told_up_ = true;
      for (std::string& payload : std::exchange(early_, {})) Take(payload);
    });
  }

  // A retained message is of another day.
  void OnMessage(const mosquitto_message& m) {
    if (m.retain) return;
    std::string payload(static_cast<const char*>(m.payload),
                        static_cast<std::size_t>(m.payloadlen));
    waiting_ += payload.size();
    boost::asio::post(io_, [this, self = weak_from_this(),
                            payload = std::move(payload)]() mutable {
      const auto alive = self.lock();
      if (!alive) return;
      waiting_ -= payload.size();
      // What a kept session holds comes before the subscription is confirmed.
      if (told_up_) {
        Take(payload);
      } else {
        early_.push_back(std::move(payload));
      }
    });
  }

  // --- the io_context's thread ---

  void Take(std::string& payload) {
    const bool again = name_.seen->Again(payload);
    if (again && Clock::now() - began_ < kAgain) return;
    const std::string bytes = AsBytes(std::move(payload));
    std::string_view left = bytes;
    while (!left.empty()) {
      const std::size_t n = std::min(left.size(), buffer_.size());
      std::copy_n(left.begin(), n, buffer_.begin());
      if (!Deliver(n, true)) return;
      left.remove_prefix(n);
    }
  }

  void Fail(const std::string& what) {
    End(Error{ErrorKind::kMachine, where_, what});
  }

  // Waits for the library's turn to end, 50 ms at most unless a name is being
  // looked up.
  void Close() override {
    stopped_ = true;
    work_.reset();
    if (thread_.joinable()) thread_.join();
    if (client_ != nullptr) mosquitto_destroy(std::exchange(client_, nullptr));
  }

  using Clock = std::chrono::steady_clock;
  SourceName name_;
  std::string where_;
  // The thread's posts are to come: the io_context has not run out of work.
  boost::asio::executor_work_guard<boost::asio::io_context::executor_type>
      work_;
  mosquitto* client_ = nullptr;
  std::thread thread_;
  std::string why_;      // of the thread
  bool was_up_ = false;  // of the thread
  Clock::time_point began_;
  std::atomic<bool> stopped_{false};
  std::atomic<bool> up_{false};
  std::atomic<std::size_t> waiting_{0};
  bool told_up_ = false;            // of the io_context
  std::vector<std::string> early_;  // of the io_context
};

}  // namespace

std::shared_ptr<SourceSession> MakeMqttSession(boost::asio::io_context& io,
                                               const SourceName& name) {
  return std::make_shared<MqttSession>(io, name);
}

}  // namespace masseter
