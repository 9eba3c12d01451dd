// The bench on a page: what a desk (bench_desk.h, check_desk.h) stands at, as
// messages of api/README.md, and the words that come back from it.
//
// Thread rule: everything belongs to the desk's thread; words arrive on the
// pages' thread and wait in a queue of their own.
#ifndef MASSETER_APP_BENCH_PAGE_H_
#define MASSETER_APP_BENCH_PAGE_H_

#include <chrono>
#include <deque>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "app/live_hub.h"
#include "app/sample_feed.h"
#include "core/bench/bench_session.h"
#include "core/rig/rig.h"

namespace masseter {

class BenchPage {
 public:
  // `words`: those that the desk understands, for the page's buttons.
  // Takes the hub's action handler; gives it back when it goes.
  BenchPage(LiveHub& hub, const Rig& rig, std::string title, double patience_s,
            std::vector<std::string> words);
  ~BenchPage();
  BenchPage(const BenchPage&) = delete;
  BenchPage& operator=(const BenchPage&) = delete;

  // The next line for the desk, if a page has sent one. "ok" for a load that
  // is not asked for any more (a page that was behind) gives none.
  std::optional<std::string> NextLine(const BenchSession& session);

  // Samples came in: the channels' figures of the moment.
  void Heard(const FeedBlock& block);
  // Publishes where the session stands, ten times a second at most unless
  // something was said.
  void Show(const BenchSession& session, const std::string& said);
  void End(const std::string& text);

 private:
  struct Word {
    std::string word;
    std::optional<int> number;
    std::string reason;
    std::optional<std::size_t> step;
  };
  using Clock = std::chrono::steady_clock;

  Expected<void> Queue(const std::string& json);
  std::string Message(const BenchSession& session) const;

  LiveHub& hub_;
  const Rig rig_;
  const std::string title_;
  const double patience_s_;
  const std::vector<std::string> words_;
  std::vector<double> signal_;
  std::string said_;
  Clock::time_point heard_;
  Clock::time_point shown_;
  std::mutex mutex_;  // guards the queue
  std::deque<Word> queue_;
};

}  // namespace masseter

#endif  // MASSETER_APP_BENCH_PAGE_H_
