// A made-up field day for the browser test and for looking at the page without
// a sleeve: four invented dogs, six bites a sleeve, one of every kind of
// trouble. The trace is a function of time; the figures are computed from its
// samples, only the verdicts are scripted. Nothing here measures anything.
//
// Thread rule: safe for concurrent access; the action handler runs on the
// pages' thread.
#ifndef MASSETER_PAGES_REPLAY_DAY_H_
#define MASSETER_PAGES_REPLAY_DAY_H_

#include <map>
#include <mutex>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "app/live_hub.h"
#include "pages/replay_book.h"
#include "pages/replay_checks.h"
#include "pages/replay_script.h"

namespace masseter {

class ReplayDay {
 public:
  // Takes the hub's action handler; gives it back when it goes. Sleeve k
  // plays the script replay::kSleeveLag seconds after the one before it.
  explicit ReplayDay(LiveHub& hub, int sleeves = 1);
  ~ReplayDay();

  // Moves to `t_s` and publishes the whole picture of that moment.
  void Seek(double t_s);
  // Goes on by `dt_s`: new columns, the figures of the moment, bites that
  // ended meanwhile. With 0 the moment stands still and is said again.
  void Advance(double dt_s);
  // From now on the sleeves are silent (or speak again).
  void SetSilent(bool silent);
  void Say(const std::string& level, const std::string& text);
  void End();

 private:
  using Json = nlohmann::json;
  // A bite of the script on one sleeve; its number is its place in plan_.
  struct Planned {
    const replay::ScriptedBite* bite;
    int sleeve;
  };
  static double EndOf(const Planned& planned);
  Expected<void> Act(const std::string& action);
  std::string Clock() const;
  std::string Up(int sleeve) const;
  std::vector<std::string> EveryUp() const;
  // The sleeve's own time, seconds.
  double Local(int sleeve) const;
  int BitesOf(const std::string& dog) const;
  Json Hello() const;
  Json Columns(int sleeve, double from_s, double to_s, bool whole) const;
  Json Now(int sleeve) const;
  Json DogDay(const std::string& dog) const;
  Json Day() const;
  void PublishBite(std::size_t place);
  void PublishBites();
  void PublishDay();
  void PublishNow();
  void Warn(const std::string& dog);

  LiveHub& hub_;
  const int sleeves_;
  std::vector<Planned> plan_;  // in the order of their ends
  std::mutex mutex_;           // guards what follows
  double t_s_ = 0.0;
  bool silent_ = false;
  std::size_t measured_ = 0;
  std::vector<int> zero_wait_;  // moments left until each zero is taken
  std::map<std::string, double> up_s_;
  bool told_ = false;  // the operator said something since the last moment
  std::string day_;    // as last published
  replay::ReplayBook book_;
  replay::ReplayChecks checks_;
};

}  // namespace masseter

#endif  // MASSETER_PAGES_REPLAY_DAY_H_
