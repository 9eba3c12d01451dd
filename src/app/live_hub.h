// Between one recording and any number of onlookers. The recorder publishes
// JSON messages (api/README.md lists them), the pages pass them on; operator
// actions go the other way.
//
// Thread rule: every member is safe for concurrent access without external
// synchronization. Publish never blocks on a slow subscriber: subscribers must
// queue, bounded, on their own side.
#ifndef MASSETER_APP_LIVE_HUB_H_
#define MASSETER_APP_LIVE_HUB_H_

#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <string>

#include "core/base/error.h"

namespace masseter {

// The slot of a sleeve's `name` ("trace", "now"): see LiveHub::Publish.
std::string SleeveKey(const std::string& name, int sleeve);

class LiveHub {
 public:
  static constexpr std::size_t kMostBites = 1000;

  using Listener = std::function<void(std::shared_ptr<const std::string>)>;
  // Takes an operator's JSON message; called on the pages' thread, returns once
  // the recorder has done it or refused it, within two seconds. An error's text
  // goes back to the page.
  using ActionHandler = std::function<Expected<void>(const std::string&)>;

  // Registers a listener and hands it the messages that bring a page up to
  // date (hello, the trace of the last 20 s, now, the bites so far by number),
  // in order, before anything newer. The shared_ptr lets one message be queued
  // by many connections without a copy each. A listener must not call the hub
  // back; once Unsubscribe has returned it is not called again.
  std::uint64_t Subscribe(Listener listener);
  void Unsubscribe(std::uint64_t id);

  // Once SetActionHandler has returned, the handler before it is not running
  // and is not called again: a recorder clears it ({}) before it goes. Without
  // a handler every action is refused.
  void SetActionHandler(ActionHandler handler);
  Expected<void> Act(const std::string& json);

  // Sends to every listener. `key` names the slot that a later subscriber must
  // also see: "hello", "trace" and "now" (the first
  // sleeve's; "now:1" the next one's: SleeveKey), "bite:7", or another
  // name; an empty key is sent and forgotten. A second message with the same
  // key replaces the first.
  void Publish(const std::string& key, std::string json);

  // Replaces what a later subscriber sees under `key` and sends nothing. The
  // recorder keeps the whole trace of the last 20 s this way, then publishes
  // only its new columns with an empty key; in that order, so that a page that
  // joins in between sees a column twice rather than never.
  void Keep(const std::string& key, std::string json);
  // The message kept under `key`, or null: for a page that fell behind.
  std::shared_ptr<const std::string> Kept(const std::string& key);

 private:
  // The order in which a page needs the kept messages: hello, trace, now,
  // bites by number, anything else by name.
  struct KeyOrder {
    bool operator()(const std::string& a, const std::string& b) const;
  };

  void DropOldBites();

  std::mutex mutex_;  // guards all but act_
  std::uint64_t next_id_ = 1;
  std::map<std::uint64_t, Listener> listeners_;
  std::map<std::string, std::shared_ptr<const std::string>, KeyOrder> kept_;
  std::mutex act_mutex_;  // held while a handler runs
  ActionHandler act_;
};

}  // namespace masseter

#endif  // MASSETER_APP_LIVE_HUB_H_
