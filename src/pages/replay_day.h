// A made-up field day for the browser test and for looking at the page without
// a sleeve: four invented dogs, six bites, one of every kind of trouble. The
// trace is a function of time; the figures are computed from its samples, only
// the verdicts are scripted. Nothing here measures anything.
//
// Thread rule: one thread, except the action handler, which only queues.
#ifndef MASSETER_PAGES_REPLAY_DAY_H_
#define MASSETER_PAGES_REPLAY_DAY_H_

#include <mutex>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/live_hub.h"

namespace masseter {

class ReplayDay {
 public:
  // Takes the hub's action handler; gives it back when it goes.
  explicit ReplayDay(LiveHub& hub);
  ~ReplayDay();

  // Moves to `t_s` and publishes the whole picture of that moment.
  void Seek(double t_s);
  // Goes on by `dt_s`: new columns, the figures of the moment, bites that
  // ended meanwhile. With 0 the moment stands still and is said again.
  void Advance(double dt_s);
  // From now on the sleeve is silent (or speaks again).
  void SetSilent(bool silent) { silent_ = silent; }
  void Say(const std::string& level, const std::string& text);
  void End();

 private:
  using Json = nlohmann::json;
  Expected<void> Queue(const std::string& action);
  Expected<void> CheckDog(const Json& action, bool known);
  void TakeActions();
  std::string Up() const;
  Json Hello() const;
  Json Columns(double from_s, double to_s, bool whole) const;
  Json Now() const;
  void PublishBites();

  LiveHub& hub_;
  double t_s_ = 0.0;
  bool silent_ = false;
  std::size_t measured_ = 0;
  int zero_wait_ = 0;                  // moments left until the zero is taken
  std::optional<std::string> chosen_;  // the operator's word over the script
  mutable std::mutex mutex_;           // guards the two below
  std::vector<Json> actions_;
  Json roster_;
};

}  // namespace masseter

#endif  // MASSETER_PAGES_REPLAY_DAY_H_
