// Between one recording and any number of onlookers. The recorder publishes
// JSON messages (api/README.md lists them), the pages pass them on; operator
// actions go the other way.
//
// Thread rule: every member is safe for concurrent access without external
// synchronization. Publish never blocks on a slow subscriber: subscribers must
// queue, bounded, on their own side.
#ifndef MASSETER_APP_LIVE_HUB_H_
#define MASSETER_APP_LIVE_HUB_H_

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <string>

#include "core/base/error.h"

namespace masseter {

class LiveHub {
 public:
  using Listener = std::function<void(std::shared_ptr<const std::string>)>;
  // Takes an operator's JSON message; called on the pages' thread, returns at
  // once (the recorder queues it). An error's text goes back to the page.
  using ActionHandler = std::function<Expected<void>(const std::string&)>;

  // Registers a listener and hands it the messages that bring a page up to
  // date (hello, the trace of the last 20 s, the bites so far), in order,
  // before anything newer. The shared_ptr lets one message be queued by many
  // connections without a copy each.
  std::uint64_t Subscribe(Listener listener);
  void Unsubscribe(std::uint64_t id);

  void SetActionHandler(ActionHandler handler);
  Expected<void> Act(const std::string& json);

  // Sends to every listener. `key` names the slot that a later subscriber must
  // also see: "hello", "trace", "now", or "bite:7"; an empty key is sent and
  // forgotten. A second message with the same key replaces the first.
  void Publish(const std::string& key, std::string json);

 private:
  std::mutex mutex_;
  std::uint64_t next_id_ = 1;
  std::map<std::uint64_t, Listener> listeners_;
  std::map<std::string, std::shared_ptr<const std::string>> kept_;
  ActionHandler act_;
};

}  // namespace masseter

#endif  // MASSETER_APP_LIVE_HUB_H_
