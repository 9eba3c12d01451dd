// A sleeve on the bench for tests: prints samples over TCP in real time while
// the test changes what lies on it. Four equal cells, the load in the middle:
// every channel reads zero + 50 counts a newton of a quarter of it.
#ifndef MASSETER_TESTS_INTEGRATION_BENCH_DEVICE_H_
#define MASSETER_TESTS_INTEGRATION_BENCH_DEVICE_H_

#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <string>
#include <thread>

#include "tests/integration/sockets.h"

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
  BenchDevice() {
    thread_ = std::thread([this] { Serve(); });
  }
  ~BenchDevice() {
    stop_ = true;
    shutdown(listener_.fd, SHUT_RDWR);
    thread_.join();
  }
  BenchDevice(const BenchDevice&) = delete;
  BenchDevice& operator=(const BenchDevice&) = delete;

  std::string source() const {
    return "tcp:127.0.0.1:" + std::to_string(listener_.port);
  }
  void Load(double force_n) { force_n_ = force_n; }
  void Gain(double counts_per_n) { gain_ = counts_per_n; }

 private:
  void Serve() {
    while (!stop_) {
      const int client = listener_.Accept();
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

  Listener listener_;
  std::atomic<bool> stop_{false};
  std::atomic<double> force_n_{0.0};
  std::atomic<double> gain_{50.0};
  std::thread thread_;
};

}  // namespace masseter::integration

#endif  // MASSETER_TESTS_INTEGRATION_BENCH_DEVICE_H_
