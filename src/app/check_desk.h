// A check load taken by hand: zero, load, zero, in the operator's words.
// Like BenchDesk; nothing is stored until it is done.
#ifndef MASSETER_APP_CHECK_DESK_H_
#define MASSETER_APP_CHECK_DESK_H_

#include <string>

#include "app/check_book.h"
#include "app/sample_feed.h"
#include "core/bench/bench_session.h"

namespace masseter {

class CheckDesk {
 public:
  CheckDesk(const CheckRequest& request, const Rig& rig,
            const SettleRule& rule);

  std::string Greeting() const;
  std::string Prompt() const;
  // "" or "ok", "take", "again", "stop".
  Expected<std::string> Answer(const std::string& line);
  Expected<std::string> Take(const FeedBlock& block);

  bool stopped() const { return stopped_; }
  bool done() const { return session_.state() == BenchState::kDone; }
  bool asking() const { return session_.state() == BenchState::kAsking; }

  const BenchSession& session() const { return session_; }

  // What was read; call when done.
  SettledReading zero() const { return At(0); }
  SettledReading loaded() const { return At(1); }
  SettledReading zero_after() const { return At(2); }

 private:
  SettledReading At(std::size_t step) const;

  CheckRequest request_;
  BenchSession session_;
  bool stopped_ = false;
  bool told_impatient_ = false;
};

}  // namespace masseter

#endif  // MASSETER_APP_CHECK_DESK_H_
