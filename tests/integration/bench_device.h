// A sleeve on the bench for tests: prints samples over TCP in real time while
// the test changes what lies on it. Four equal cells, the load in the middle:
// every channel reads zero + 50 counts a newton of a quarter of it.
#ifndef MASSETER_TESTS_INTEGRATION_BENCH_DEVICE_H_
#define MASSETER_TESTS_INTEGRATION_BENCH_DEVICE_H_

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <string>
#include <thread>

namespace masseter::integration {

inline constexpr double kBenchRate = 500.0;

// One line of the example rig's text.
inline std::string BenchLine(long i, double force_n, double gain = 50.0) {
  std::string line = std::to_string(i) + "," + std::to_string(i * 2000);
  for (int c = 0; c < 4; ++c) {
    // A few counts of made-up noise: a hash of row and channel (Knuth's
    // multiplicative hashing), white enough.
    const auto hash =
        static_cast<std::uint32_t>((7919 * i + 104729 * c)) * 2654435761U;
    const double noise =
        12.0 * (static_cast<double>(hash ^ (hash >> 15)) / 4294967296.0 - 0.5);
    const double counts = 1000.0 * (c + 1) + gain * force_n / 4.0 + noise;
    line += "," + std::to_string(std::lround(counts));
  }
  return line + ",3900\n";
}

class BenchDevice {
 public:
  BenchDevice() : listener_(socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
    sockaddr_in at{};
    at.sin_family = AF_INET;
    at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof at;
    bind(listener_, reinterpret_cast<sockaddr*>(&at), size);
    getsockname(listener_, reinterpret_cast<sockaddr*>(&at), &size);
    port_ = ntohs(at.sin_port);
    listen(listener_, 4);
    thread_ = std::thread([this] { Serve(); });
  }
  ~BenchDevice() {
    stop_ = true;
    shutdown(listener_, SHUT_RDWR);
    thread_.join();
    close(listener_);
  }
  BenchDevice(const BenchDevice&) = delete;
  BenchDevice& operator=(const BenchDevice&) = delete;

  std::string source() const {
    return "tcp:127.0.0.1:" + std::to_string(port_);
  }
  void Load(double force_n) { force_n_ = force_n; }
  void Gain(double counts_per_n) { gain_ = counts_per_n; }

 private:
  void Serve() {
    while (!stop_) {
      const int client = accept4(listener_, nullptr, nullptr, SOCK_CLOEXEC);
      if (client < 0) return;
      long i = 0;
      const auto start = std::chrono::steady_clock::now();
      while (!stop_) {
        const std::chrono::duration<double> now =
            std::chrono::steady_clock::now() - start;
        std::string text;
        while (static_cast<double>(i) < now.count() * kBenchRate) {
          text += BenchLine(i++, force_n_, gain_);
        }
        if (!text.empty() &&
            send(client, text.data(), text.size(), MSG_NOSIGNAL) < 0) {
          break;
        }
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
      }
      close(client);
    }
  }

  int listener_;
  int port_ = 0;
  std::atomic<bool> stop_{false};
  std::atomic<double> force_n_{0.0};
  std::atomic<double> gain_{50.0};
  std::thread thread_;
};

}  // namespace masseter::integration

#endif  // MASSETER_TESTS_INTEGRATION_BENCH_DEVICE_H_
