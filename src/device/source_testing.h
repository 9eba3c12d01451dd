// What the tests of the sources share: a source run until something happened.
#ifndef MASSETER_DEVICE_SOURCE_TESTING_H_
#define MASSETER_DEVICE_SOURCE_TESTING_H_

#include <algorithm>
#include <chrono>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "device/source.h"

namespace masseter {

class Listening {
 public:
  explicit Listening(const std::string& name)
      : source(OpenSource(io, ParseSourceName(name).value()).value()) {
    source->Start({
        .on_bytes =
            [this](std::span<const char> part, double host_time_s) {
              bytes.append(part.begin(), part.end());
              times.push_back(host_time_s);
              largest = std::max(largest, part.size());
            },
        .on_up = [this](const std::string& text) { up = text; },
        .on_end =
            [this](std::optional<Error> error) {
              ++ends;
              end_error = std::move(error);
            },
    });
  }

  // Runs the loop until `done`, 10 s at most; false when it never was.
  bool RunUntil(const std::function<bool()>& done) {
    const auto limit =
        std::chrono::steady_clock::now() + std::chrono::seconds(10);
    while (!done()) {
      if (std::chrono::steady_clock::now() > limit) return false;
      io.restart();
      io.run_one_for(std::chrono::milliseconds(20));
    }
    return true;
  }
  bool RunToEnd() {
    return RunUntil([this] { return ends > 0; });
  }
  std::string EndText() const { return end_error ? end_error->Text() : ""; }

  boost::asio::io_context io;
  std::unique_ptr<Source> source;
  std::string bytes;
  std::vector<double> times;
  std::size_t largest = 0;
  std::string up;
  int ends = 0;
  std::optional<Error> end_error;
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_SOURCE_TESTING_H_
