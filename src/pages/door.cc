#include "pages/door.h"

#include <sodium.h>

namespace masseter {
namespace {

constexpr std::size_t kTokenBytes = 32;

// Looks at every one, so that the time does not tell which it was.
template <class Digests, class Digest>
bool Holds(const Digests& digests, const Digest& wanted) {
  bool found = false;
  for (const Digest& digest : digests) {
    found |= sodium_memcmp(digest.data(), wanted.data(), wanted.size()) == 0;
  }
  return found;
}

}  // namespace

Door::Door(const AccessCodes& codes) {
  randombytes_buf(key_.data(), key_.size());
  operate_ = Hash(codes.operate);
  look_on_ = Hash(codes.look_on);
}

Door::Digest Door::Hash(std::string_view text) const {
  Digest digest{};
  crypto_generichash(digest.data(), digest.size(),
                     reinterpret_cast<const unsigned char*>(text.data()),
                     text.size(), key_.data(), key_.size());
  return digest;
}

Door::Answer Door::Enter(std::string_view typed, const std::string& network,
                         SteadyTime now) {
  Answer answer;
  answer.wait = limit_.Take(network, now);
  if (answer.wait > Seconds(0.0)) {
    answer.verdict = Verdict::kWait;
    return answer;
  }
  const Digest digest = Hash(CodeAsTyped(typed));
  const bool operates =
      sodium_memcmp(digest.data(), operate_.data(), digest.size()) == 0;
  const bool looks_on =
      sodium_memcmp(digest.data(), look_on_.data(), digest.size()) == 0;
  if (!operates && !looks_on) return answer;
  limit_.GiveBack(network);
  answer.verdict = Verdict::kIn;
  answer.role = operates ? PageRole::kOperator : PageRole::kOnlooker;
  answer.token = Open(answer.role);
  return answer;
}

std::string Door::Open(PageRole role) {
  std::array<unsigned char, kTokenBytes> random{};
  randombytes_buf(random.data(), random.size());
  std::string token(2 * kTokenBytes + 1, '\0');
  sodium_bin2hex(token.data(), token.size(), random.data(), random.size());
  token.pop_back();
  const bool operates = role == PageRole::kOperator;
  std::deque<Digest>& sessions = operates ? operators_ : onlookers_;
  sessions.push_back(Hash(token));
  if (sessions.size() > (operates ? kOperatorSessions : kOnlookerSessions)) {
    sessions.pop_front();
  }
  return token;
}

std::optional<PageRole> Door::RoleOf(std::string_view token) const {
  if (token.size() != 2 * kTokenBytes) return std::nullopt;
  const Digest digest = Hash(token);
  const bool operates = Holds(operators_, digest);
  const bool looks_on = Holds(onlookers_, digest);
  if (operates) return PageRole::kOperator;
  if (looks_on) return PageRole::kOnlooker;
  return std::nullopt;
}

}  // namespace masseter
