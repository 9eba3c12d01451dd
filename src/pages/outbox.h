// The messages that wait for one page. A page on a bad radio link reads more
// slowly than the recorder speaks; what it may miss is decided here: old
// figures of the moment and old trace columns go first, bites never.
//
// Thread rule: one thread at a time.
#ifndef MASSETER_PAGES_OUTBOX_H_
#define MASSETER_PAGES_OUTBOX_H_

#include <cstddef>
#include <deque>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>

namespace masseter {

// What a message's top level says of itself; "" and false where it is silent
// or the text is no JSON object. `type` points into the text.
struct MessageHead {
  std::string_view type;
  bool whole = false;
  int sleeve = 0;  // of several
};
MessageHead ReadHead(std::string_view json);

class Outbox {
 public:
  using Text = std::shared_ptr<const std::string>;

  // At most `traces` trace messages and `bytes` bytes of anything wait.
  Outbox(std::size_t traces, std::size_t bytes);

  // Queues a message. A newer `now` or `bench` replaces the one of its sleeve
  // that waits, a whole trace every older trace of its sleeve; past the limit
  // the oldest trace columns are dropped. False when more than `bytes` wait all
  // the same: the page must reconnect.
  bool Push(Text text);

  // The next message to send, or null.
  Text Pop();

  // Once for each sleeve whose columns were dropped, when everything else is
  // sent: the page then needs its whole trace again.
  std::optional<int> TakeBehind();

  std::size_t size() const { return waiting_.size(); }

 private:
  enum class Kind { kNow, kColumns, kWhole, kOther };
  struct Item {
    Kind kind;
    int sleeve;
    Text text;
  };
  // Every waiting message of this kind and sleeve.
  void Drop(Kind kind, int sleeve);

  std::size_t traces_;
  std::size_t bytes_limit_;
  std::size_t bytes_ = 0;
  std::set<int> behind_;  // sleeves
  std::deque<Item> waiting_;
};

}  // namespace masseter

#endif  // MASSETER_PAGES_OUTBOX_H_
