// Lines from standard input while samples come in, and the loop of a desk
// (app/bench_desk.h, app/check_desk.h) on a terminal or driven by a script.
#ifndef MASSETER_CLI_ANSWERS_H_
#define MASSETER_CLI_ANSWERS_H_

#include <cstdio>
#include <functional>
#include <optional>
#include <string>

#include "app/sample_feed.h"
#include "core/base/error.h"
#include "core/bench/bench_session.h"

namespace masseter::cli {

class Answers {
 public:
  Answers();
  // A whole line without its end, if one has come; never waits.
  std::optional<std::string> Next();
  // Forgets what was typed ahead: on a terminal, an Enter too many must not
  // stand for a load that is not in place. Lines from a script stay.
  void ForgetTypedAhead();
  // Standard input has ended and every line was handed out.
  bool ended() const;
  bool terminal() const { return terminal_; }

 private:
  void Read();
  std::string text_;
  bool closed_ = false;
  bool terminal_ = false;
};

// What a desk offers, as functions.
struct DeskCalls {
  std::function<std::string()> prompt;
  std::function<Expected<std::string>(const std::string&)> answer;
  std::function<Expected<std::string>(const FeedBlock&)> take;
  std::function<bool()> over;       // done or stopped
  std::function<bool()> impatient;  // a reading does not settle
  // For a page beside the terminal; both or none. The next line from there,
  // and what was said since the last call, twenty times a second.
  std::function<std::optional<std::string>()> line;
  std::function<void(const std::string& said)> show;
};

// Those of a BenchDesk or a CheckDesk, which outlives them.
template <class Desk>
DeskCalls CallsOf(Desk& desk) {
  DeskCalls calls;
  calls.prompt = [&desk] { return desk.Prompt(); };
  calls.answer = [&desk](const std::string& line) { return desk.Answer(line); };
  calls.take = [&desk](const FeedBlock& block) { return desk.Take(block); };
  calls.over = [&desk] { return desk.stopped() || desk.done(); };
  calls.impatient = [&desk] {
    return desk.session().state() == BenchState::kImpatient;
  };
  return calls;
}

// Feeds the desk from `source` until it is over or Ctrl-C says "stop". Prompts
// and answers go to `words`. With a page the end of standard input ends
// nothing.
Expected<void> RunDesk(const DeskCalls& desk, const std::string& source,
                       const Rig& rig, std::FILE* words);

// A source that waits for a person: not a file, not standard input.
Expected<void> CheckLiveSource(const std::string& source);

}  // namespace masseter::cli

#endif  // MASSETER_CLI_ANSWERS_H_
