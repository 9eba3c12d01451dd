// The door of shared pages: turns a code into a session, and knows whose
// session is whose. The recorder is behind it, so nothing here waits, and
// nothing here remembers more than a bounded number of visitors.
//
// Codes and session tokens are kept as keyed hashes (BLAKE2b, a key for each
// door) and compared in constant time, so that neither a memory dump of this
// object nor the time an answer takes gives one away.
//
// Thread rule: one thread at a time.
#ifndef MASSETER_PAGES_DOOR_H_
#define MASSETER_PAGES_DOOR_H_

#include <array>
#include <cstddef>
#include <deque>
#include <optional>
#include <string>
#include <string_view>

#include "pages/access_code.h"
#include "pages/rate_limit.h"

namespace masseter {

class Door {
 public:
  // The longest-kept session of a role goes when there are more. Each role has
  // its own room: onlookers cannot push an operator out.
  static constexpr std::size_t kOperatorSessions = 32;
  static constexpr std::size_t kOnlookerSessions = 256;

  explicit Door(const AccessCodes& codes);

  enum class Verdict {
    kIn,     // `role` and `token` are the visitor's
    kWrong,  // no such code
    kWait,   // too many tries; the code was not looked at; again in `wait`
  };
  struct Answer {
    Verdict verdict = Verdict::kWrong;
    PageRole role = PageRole::kOnlooker;
    std::string token;  // 64 hexadecimal digits, 256 random bits
    Seconds wait{0.0};
  };
  // Tries what was typed; `network` is whose try it counts as (network.h).
  Answer Enter(std::string_view typed, const std::string& network,
               SteadyTime now);

  // Whose token this is, if anyone's.
  std::optional<PageRole> RoleOf(std::string_view token) const;

 private:
  using Digest = std::array<unsigned char, 32>;
  Digest Hash(std::string_view text) const;
  std::string Open(PageRole role);

  Digest key_;
  Digest operate_;
  Digest look_on_;
  std::deque<Digest> operators_;
  std::deque<Digest> onlookers_;
  AttemptLimit limit_;
};

}  // namespace masseter

#endif  // MASSETER_PAGES_DOOR_H_
