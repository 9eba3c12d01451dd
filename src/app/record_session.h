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
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/book.h"
#include "app/live_publisher.h"
#include "app/operator_action.h"
#include "app/record.h"
#include "app/recording.h"
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
    SourceName name;
    std::unique_ptr<LastingSource> source;
    std::unique_ptr<Recording> recording;
    Clock::time_point last_bytes = Clock::now();
    std::optional<Error> loss;  // while it is looked for
  };

  // --- record_session.cc: sources come, go and come back ---
  Expected<void> Prepare();
  Expected<void> Begin(Live& live);
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
  void MindTheMarks();
  void Say(const std::string& text);
  // On the terminal and on the page.
  void Tell(const std::string& level, const std::string& text);

  // --- record_actions.cc: what the operator asks for ---
  // On the pages' thread: checked for form here, done on the recorder's.
  Expected<void> Queue(const std::string& json);
  void Do(const OperatorAction& action);

  Book& book_;
  const RecordRequest& request_;
  LiveHub& hub_;
  boost::asio::io_context io_;
  boost::asio::steady_timer timer_;
  std::vector<std::unique_ptr<Live>> sources_;
  std::unique_ptr<LivePublisher> publisher_;
  std::string up_;
  bool up_by_hand_ = false;
  bool roster_put_ = false;
  bool done_ = false;
  std::optional<Error> failure_;
  RecordAnswer answer_;
};

}  // namespace masseter

#endif  // MASSETER_APP_RECORD_SESSION_H_
