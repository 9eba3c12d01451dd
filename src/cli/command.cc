#include "cli/command.h"

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <cstdio>
#include <cstdlib>

#include "app/file_io.h"

namespace masseter::cli {

Expected<void> Print(const std::string& text) {
  const bool ok =
      std::fwrite(text.data(), 1, text.size(), stdout) == text.size() &&
      std::fflush(stdout) == 0;
  if (!ok) return MachineFailure("standard output", "cannot be written");
  return {};
}

Expected<void> PrintJson(const nlohmann::ordered_json& document) {
  return Print(
      document.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace) +
      "\n");
}

bool TerminalIsUtf8() {
  for (const char* name : {"LC_ALL", "LC_CTYPE", "LANG"}) {
    const char* value = std::getenv(name);
    if (value == nullptr || *value == '\0') continue;
    std::string lower;
    for (const char* c = value; *c != '\0'; ++c) {
      lower += static_cast<char>(std::tolower(static_cast<unsigned char>(*c)));
    }
    return lower.find("utf-8") != std::string::npos ||
           lower.find("utf8") != std::string::npos;
  }
  return false;
}

std::size_t TerminalColumns() {
  constexpr std::size_t kLeast = 60;
  constexpr std::size_t kMost = 120;
  const char* told = std::getenv("COLUMNS");
  const auto columns = told == nullptr ? 0 : std::strtol(told, nullptr, 10);
  if (columns > 0) {
    return std::clamp(static_cast<std::size_t>(columns), kLeast, kMost);
  }
  winsize size{};
  if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) {
    return std::clamp<std::size_t>(size.ws_col, kLeast, kMost);
  }
  return 80;
}

bool TerminalIsColoured() {
  const char* no = std::getenv("NO_COLOR");
  return ::isatty(STDOUT_FILENO) == 1 && (no == nullptr || *no == '\0');
}

bool ProgressIsSeen() { return ::isatty(STDERR_FILENO) == 1; }

Progress::Progress(std::string what)
    : what_(std::move(what)), start_s_(NowUnixS()), shown_s_(start_s_) {}

Progress::~Progress() {
  if (drawn_) std::fputs("\r\033[K", stderr);
}

void Progress::Show(std::uint64_t done, std::uint64_t total) {
  const double now = NowUnixS();
  if (!ProgressIsSeen() || now - shown_s_ < 0.25 || now - start_s_ < 0.9) {
    return;
  }
  shown_s_ = now;
  drawn_ = true;
  const double rate = static_cast<double>(done) / (now - start_s_);
  std::string line = fmt::format("\r\033[K{}  {:.0f} MB, {:.0f} MB/s", what_,
                                 static_cast<double>(done) / 1e6, rate / 1e6);
  if (total > done && rate > 0.0) {
    line += fmt::format(
        ", {:.0f} %, {:.0f} s left",
        100.0 * static_cast<double>(done) / static_cast<double>(total),
        static_cast<double>(total - done) / rate);
  }
  std::fputs(line.c_str(), stderr);
  std::fflush(stderr);
}

}  // namespace masseter::cli
