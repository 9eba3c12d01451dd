// What a broker sent lately, to know it when it comes again.
#ifndef MASSETER_DEVICE_SEEN_PAYLOADS_H_
#define MASSETER_DEVICE_SEEN_PAYLOADS_H_

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <string_view>

#include "wire/crc32c.h"

namespace masseter {

// The lengths and check sums of the last kMost payloads. MQTT delivers with
// quality of service 1 once or more: after a connection the broker sends again
// what it was not sure of.
class SeenPayloads {
 public:
  static constexpr std::size_t kMost = 512;

  // Remembers `payload`; true when it was among the remembered already.
  bool Again(std::string_view payload) {
    const std::uint32_t sum =
        wire_crc32c(0, reinterpret_cast<const std::uint8_t*>(payload.data()),
                    payload.size());
    const std::uint64_t key =
        (static_cast<std::uint64_t>(payload.size()) << 32) | sum;
    if (std::find(keys_.begin(), keys_.end(), key) != keys_.end()) return true;
    keys_.push_back(key);
    if (keys_.size() > kMost) keys_.pop_front();
    return false;
  }

 private:
  std::deque<std::uint64_t> keys_;
};

}  // namespace masseter

#endif  // MASSETER_DEVICE_SEEN_PAYLOADS_H_
