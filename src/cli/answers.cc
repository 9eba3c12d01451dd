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

Expected<void> RunDesk(const DeskCalls& desk, const std::string& source,
                       const Rig& rig, std::FILE* words) {
  const std::atomic<bool>& stop = WatchStopSignals();
  Answers answers;
  std::string shown;
  std::string said;    // since the page was last told
  bool heard = false;  // samples have come in
  const auto answer = [&](const std::string& line,
                          bool typed) -> Expected<void> {
    // A terminal shows what was typed, and its end, by itself.
    if (!typed || !answers.terminal()) Say(words, line + "\n");
    const auto text = desk.answer(line);
    if (!text) return tl::unexpected(text.error());
    Say(words, *text);
    said += *text;
    shown.clear();
    return {};
  };
  const auto page_line = [&]() -> Expected<void> {
    if (!desk.line) return {};
    const auto line = desk.line();
    return line ? answer(*line, false) : Expected<void>();
  };
  FeedSource feed{source, rig, [&](const FeedBlock& block) -> Expected<void> {
                    heard = heard || block.samples.size() > 0;
                    const auto text = desk.take(block);
                    if (!text) return tl::unexpected(text.error());
                    if (!text->empty()) {
                      Say(words, *text);
                      said += *text;
                      answers.ForgetTypedAhead();
                    }
                    return {};
                  }};
  FeedEvents events;
  events.on_up = [&](const std::string& text) {
    Say(words, "Listening: " + text + "\n");
  };
  events.on_tick = [&]() -> Expected<bool> {
    if (stop && !desk.over()) {
      if (answers.terminal()) Say(words, "\n");
      if (auto ok = answer("stop", false); !ok) {
        return tl::unexpected(ok.error());
      }
    }
    if (desk.show) desk.show(std::exchange(said, {}));
    if (desk.over()) return false;
    if (!heard) return true;  // nothing to ask for before the sleeve talks
    if (auto ok = page_line(); !ok) return tl::unexpected(ok.error());
    const std::string prompt = desk.prompt();
    if (!prompt.empty() && prompt != shown) {
      Say(words, prompt);
      shown = prompt;
    }
    // A script's lines wait until they are asked for; a person may speak at
    // any time.
    const bool asked = !prompt.empty() || desk.impatient();
    if (asked || answers.terminal()) {
      if (const auto line = answers.Next()) {
        if (auto ok = answer(*line, true); !ok) {
          return tl::unexpected(ok.error());
        }
      } else if (answers.ended() && asked && !desk.line) {
        if (auto ok = answer("stop", true); !ok) {
          return tl::unexpected(ok.error());
        }
      }
    }
    // Once more when it is over, so that the page sees it.
    return static_cast<bool>(desk.show) || !desk.over();
  };
  return RunFeed({feed}, events);
}

}  // namespace masseter::cli
