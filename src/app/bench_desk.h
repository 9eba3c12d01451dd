// The bench capture for whoever sits before it: a session in a logbook, the
// operator's words in, sentences and a JSON snapshot out. No terminal and no
// socket: the command line and the page put theirs around it.
//
// Every reading is durable before the next load is asked for. A session that
// was stopped goes on when the desk is opened again.
//
// Thread rule: one thread at a time.
#ifndef MASSETER_APP_BENCH_DESK_H_
#define MASSETER_APP_BENCH_DESK_H_

#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "app/book.h"
#include "app/sample_feed.h"
#include "core/bench/bench_session.h"

namespace masseter {

struct DeskRequest {
  PlanRequest plan;
  SettleRule rule;
  bool start_anew = false;  // leave an unfinished session as it is
  bool plan_given = false;  // the plan's options were given
};

// One session as the logbook keeps it.
struct StoredSession {
  std::int64_t id = 0;  // the entry of its plan
  double created_unix_s = 0.0;
  BenchSession session;
};

// All sessions, oldest first.
Expected<std::vector<StoredSession>> SessionsOf(const Book& book,
                                                const SettleRule& rule);

class BenchDesk {
 public:
  // Opens the unfinished session or begins one. Errors: a plan that cannot
  // be; a session is unfinished and another plan is asked for.
  static Expected<BenchDesk> Open(const std::string& book_path,
                                  const DeskRequest& request);

  // What the operator should know before the first load: the plan, its cost,
  // what was read already, the words that can be typed, cautions.
  std::string Greeting() const;
  // The question that stands now, without a line end; "" while settling.
  std::string Prompt() const;
  // A line the operator typed: "" or "ok" (the load is in place), "again"
  // [reason], "strike N reason", "drop N reason", "skip", "take", "wait",
  // "stop", "?". Returns what to say.
  Expected<std::string> Answer(const std::string& line);
  // Samples as they come in; returns what to say, "" for nothing.
  Expected<std::string> Take(const FeedBlock& block);

  bool stopped() const { return stopped_; }
  bool done() const;
  const BenchSession& session() const { return *session_; }
  const Rig& rig() const { return book_.rig; }
  std::int64_t id() const { return id_; }
  std::string Csv() const;
  // {"session","state","asked":{...},"readings":[...],"read","steps",...}
  nlohmann::ordered_json Snapshot() const;

 private:
  explicit BenchDesk(Book book) : book_(std::move(book)) {}
  Expected<std::string> Keep(const BenchReading& reading);
  Expected<std::string> Strike(const std::string& number,
                               const std::string& reason, bool ask_again);
  Expected<void> Store(const std::string& kind,
                       nlohmann::ordered_json document);
  std::string StepText(const LoadStep& step) const;
  std::string ReadingText(const BenchReading& reading) const;

  Book book_;
  std::int64_t id_ = 0;
  std::unique_ptr<BenchSession> session_;
  std::string cost_;
  bool resumed_ = false;
  bool stopped_ = false;
  bool told_impatient_ = false;
  double created_unix_s_ = 0.0;
  // Added to the source's time, so that times count from the session's start.
  std::optional<double> offset_s_;
};

// One session as JSON, as Snapshot shows it.
nlohmann::ordered_json SessionJson(const BenchSession& session, std::int64_t id,
                                   const Rig& rig);

}  // namespace masseter

#endif  // MASSETER_APP_BENCH_DESK_H_
