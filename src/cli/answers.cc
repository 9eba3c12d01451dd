#include "cli/answers.h"

#include <sys/poll.h>
#include <unistd.h>

#include <utility>

#include "cli/stop_signal.h"

namespace masseter::cli {
namespace {

void Say(std::FILE* words, const std::string& text) {
  if (text.empty()) return;
  std::fputs(text.c_str(), words);
  std::fflush(words);
}

}  // namespace

Answers::Answers() : terminal_(::isatty(STDIN_FILENO) == 1) {}

void Answers::Read() {
  while (!closed_) {
    pollfd ready{STDIN_FILENO, POLLIN, 0};
    if (::poll(&ready, 1, 0) <= 0) return;
    char piece[512];
    const ssize_t n = ::read(STDIN_FILENO, piece, sizeof piece);
    if (n <= 0) {
      closed_ = true;
      // A last line without its end counts.
      if (!text_.empty() && text_.back() != '\n') text_ += '\n';
      return;
    }
    text_.append(piece, static_cast<std::size_t>(n));
  }
}

std::optional<std::string> Answers::Next() {
  Read();
  const std::size_t end = text_.find('\n');
  if (end == std::string::npos) return std::nullopt;
  std::string line = text_.substr(0, end);
  text_.erase(0, end + 1);
  return line;
}

void Answers::ForgetTypedAhead() {
  if (!terminal_) return;
  Read();
  text_.clear();
}

bool Answers::ended() const { return closed_ && text_.empty(); }

Expected<void> CheckLiveSource(const std::string& source) {
  if (source == "-") {
    return BadInput("--from",
                    "standard input is where the answers come from; name a "
                    "port, as in --from serial:/dev/ttyUSB0");
  }
  if (source.starts_with("file:")) {
    return BadInput("--from",
                    "a file cannot wait for loads to be placed; name a port, "
                    "as in --from serial:/dev/ttyUSB0");
  }
  return {};
}

namespace {

// What RunDesk keeps between samples and ticks.
class DeskLoop {
 public:
  DeskLoop(const DeskCalls& desk, std::FILE* words)
      : desk_(desk), words_(words), stop_(WatchStopSignals()) {}

  Expected<void> Take(const FeedBlock& block) {
    heard_ = heard_ || block.samples.size() > 0;
    const auto text = desk_.take(block);
    if (!text) return tl::unexpected(text.error());
    if (text->empty()) return {};
    Tell(*text);
    answers_.ForgetTypedAhead();
    return {};
  }

  // False ends the feed.
  Expected<bool> Tick() {
    if (stop_ && !desk_.over()) {
      if (answers_.terminal()) Say(words_, "\n");
      if (auto ok = Answer("stop", false); !ok) return Failed(ok);
    }
    if (desk_.show) desk_.show(std::exchange(said_, {}));
    if (desk_.over()) return false;
    if (!heard_) return true;  // nothing to ask for before the sleeve talks
    if (desk_.line) {
      if (const auto line = desk_.line()) {
        if (auto ok = Answer(*line, false); !ok) return Failed(ok);
      }
    }
    if (auto ok = Ask(); !ok) return Failed(ok);
    // Once more when it is over, so that the page sees it.
    return static_cast<bool>(desk_.show) || !desk_.over();
  }

 private:
  static tl::unexpected<Error> Failed(const Expected<void>& result) {
    return tl::unexpected(result.error());
  }

  void Tell(const std::string& text) {
    Say(words_, text);
    said_ += text;
  }

  Expected<void> Answer(const std::string& line, bool typed) {
    // A terminal shows what was typed, and its end, by itself.
    if (!typed || !answers_.terminal()) Say(words_, line + "\n");
    const auto text = desk_.answer(line);
    if (!text) return tl::unexpected(text.error());
    Tell(*text);
    shown_.clear();
    return {};
  }

  // The prompt, and a line from standard input if one has come.
  Expected<void> Ask() {
    const std::string prompt = desk_.prompt();
    if (!prompt.empty() && prompt != shown_) {
      Say(words_, prompt);
      shown_ = prompt;
    }
    // A script's lines wait until they are asked for; a person may speak at
    // any time.
    const bool asked = !prompt.empty() || desk_.impatient();
    if (!asked && !answers_.terminal()) return {};
    if (const auto line = answers_.Next()) return Answer(*line, true);
    if (answers_.ended() && asked && !desk_.line) return Answer("stop", true);
    return {};
  }

  const DeskCalls& desk_;
  std::FILE* words_;
  const std::atomic<bool>& stop_;
  Answers answers_;
  std::string shown_;
  std::string said_;    // since the page was last told
  bool heard_ = false;  // samples have come in
};

}  // namespace

Expected<void> RunDesk(const DeskCalls& desk, const std::string& source,
                       const Rig& rig, std::FILE* words) {
  DeskLoop loop(desk, words);
  FeedSource feed{source, rig,
                  [&](const FeedBlock& block) { return loop.Take(block); }};
  FeedEvents events;
  events.on_up = [&](const std::string& text) {
    Say(words, "Listening: " + text + "\n");
  };
  events.on_tick = [&] { return loop.Tick(); };
  return RunFeed({feed}, events);
}

}  // namespace masseter::cli
