// One run of `live`: the sources, their recordings, the pages and the operator,
// on one thread. Private to src/app; Record makes one.
#ifndef MASSETER_APP_RECORD_SESSION_H_
#define MASSETER_APP_RECORD_SESSION_H_

// <utility> must come before Boost.Asio 1.74 on g++ 12.
#include <utility>
//
#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "app/amend_book.h"
#include "app/book.h"
#include "app/book_copier.h"
#include "app/field_day.h"
#include "app/live_publisher.h"
#include "app/operator_action.h"
#include "app/preflight.h"
#include "app/record.h"
#include "app/recording.h"
#include "app/sleeve_watch.h"
#include "device/lasting_source.h"

namespace masseter {

// Thread rule: one thread; Queue alone is called on the pages'.
class RecordSession {
  using Clock = std::chrono::steady_clock;

 public:
  RecordSession(Book& book, const RecordRequest& request, LiveHub& hub)
      : book_(book), request_(request), hub_(hub), timer_(io_) {}

  Expected<RecordAnswer> Run();

 private:
  // One sleeve.
  struct Live {
    int number = 0;
    SourceName name;
    std::unique_ptr<LastingSource> source;
    std::unique_ptr<Recording> recording;
    Clock::time_point last_bytes = Clock::now();
    std::optional<Error> loss;  // while it is looked for
  };

  // --- record_session.cc: sources come, go and come back ---
  Expected<void> Prepare();
  Expected<void> Begin();
  void Start(Live& live);
  double Patience(const Live& live, const Error& error) const;
  void Lost(Live& live, const Error& error);
  void Found(Live& live, const std::string& text);
  void Ended(Live& live, std::optional<Error> error);
  void StopWhenAllEnded();
  void Check(Expected<void> result);
  void StopAll();
  void Tick();
  static double Silence(const Live& live);
  void RenewIfMute(Live& live);
  void Say(const std::string& text);
  // On the terminal and on the page.
  void Tell(const std::string& level, const std::string& text);

  // --- record_keeping.cc: a disk that refuses ---
  void MindTheDisk();
  Expected<void> KeepTheRest();
  Error Unkept(const Error& error) const;
  Expected<void> StartCopies();
  void MindTheCopy();
  void LastCopy();

  // --- record_actions.cc: what the operator asks for ---
  // On the pages' thread: checked for form here, done on the recorder's, which
  // is waited for.
  Expected<void> Queue(const std::string& json);
  Expected<void> Do(const OperatorAction& action);
  // An action that can be taken back.
  struct Done {
    std::string what;        // the action's type
    std::string words;       // what taking it back would take back
    std::int64_t entry = 0;  // of the logbook, 0 for none
    std::vector<std::pair<int, Mark>> marks = {};  // a sleeve's
    std::optional<RosterEntry> dog_before = {};    // `dog`
    std::string dog = {};
  };
  Expected<void> MarkSleeves(const OperatorAction& action);
  Expected<void> PutDog(const OperatorAction& action);
  Expected<void> SetOrder(const OperatorAction& action);
  Expected<void> SetLimit(const OperatorAction& action);
  Expected<void> Note(const OperatorAction& action);
  Expected<void> StrikeOutOrBack(const OperatorAction& action);
  Expected<void> Undo();
  Expected<void> TakeMarksBack(Done& done);
  Expected<void> TakeDogBack(const Done& done);
  Expected<void> Say(const char* kind, const nlohmann::json& document,
                     Done done);
  // The sleeves that an action is for.
  std::vector<Live*> SleevesOf(const OperatorAction& action);
  Moment Now() const;
  std::string DogUpNow() const;
  bool KnowsDog(const std::string& dog) const;

  // --- record_checks.cc: the guided checks of a stage ---
  struct Checks {
    std::string stage = "none";  // "before", "after"
    // A sleeve each; none while nothing is looked at. A check load between dogs
    // has them without a stage.
    std::vector<std::unique_ptr<SleeveWatch>> watches;
    std::vector<StageItem> items;
    LoadFacts load;
    double mass_kg = 0.0;      // of the load that is waited for
    std::vector<int> sleeves;  // on one of which it hangs
    Clock::time_point give_up;
    std::optional<Clock::time_point> close;  // of a load without a stage
    double newest_unix_s = 0.0;
    double bytes_a_row = 0.0;
  };
  Expected<void> OpenChecks(const OperatorAction& action);
  void Watch(const std::string& stage);
  void StopWatching();
  Expected<void> NobodyUp();
  Expected<void> LearnBook();
  Expected<void> AskLoad(const OperatorAction& action);
  Expected<void> TryLoad();
  Expected<void> TakeLoad(int sleeve, const CheckWindows& windows);
  Expected<void> Pass(const OperatorAction& action);
  void TickChecks();
  void JudgeItems();
  SleeveFacts FactsOf(const Live& live) const;
  BookFacts FactsOfBook() const;
  HostFacts FactsOfHost() const;
  void TellChecks();
  // A bite was measured: limits, and handling while checks are open.
  void Bitten(const Bite& bite);

  // --- record_day.cc: the day's state, told to the pages ---
  Expected<void> LoadDay();
  void MeasureTheDead();
  // Reads again what was said and tells what has changed.
  Expected<void> RefreshDay();
  void TickDay();
  void TellDay();
  Expected<void> ShowAgain(std::int64_t bite);
  int SleeveOf(const CaptureInfo& info) const;
  std::set<std::int64_t> CapturesOfToday() const;
  void MindLimits(const std::vector<DogToday>& dogs);
  Expected<void> RefreshRoster();

  Book& book_;
  const RecordRequest& request_;
  LiveHub& hub_;
  boost::asio::io_context io_;
  boost::asio::steady_timer timer_;
  std::vector<std::unique_ptr<Live>> sources_;
  std::unique_ptr<LivePublisher> publisher_;
  bool roster_put_ = false;
  std::vector<RosterEntry> roster_;
  DayWords words_;
  std::int64_t last_entry_ = 0;  // of words_
  Today earlier_;                // of this day's recordings before this one
  std::map<std::string, int> struck_out_;  // of today's bites, a dog's
  std::map<std::string, int> warned_;  // limits that were told, at which bite
  std::vector<Done> undo_;             // newest last
  Checks checks_;
  Clock::time_point next_day_;          // when the day is looked at again
  std::unique_ptr<BookCopier> copier_;  // null without a second place
  std::optional<Clock::time_point> disk_told_;  // while the disk refuses
  bool done_ = false;
  std::optional<Error> failure_;
  RecordAnswer answer_;
};

}  // namespace masseter

#endif  // MASSETER_APP_RECORD_SESSION_H_
