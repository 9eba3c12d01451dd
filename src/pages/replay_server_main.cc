// masseter_replay [ADDRESS:PORT [SLEEVES]]: serves a made-up day and obeys one
// command a line on standard input; ends with it. The browser test drives it; a
// person can too. It prints the page's address as its first line.
//
//   run         the day goes on (as it does from the start)
//   hold        the moment stands still and is said again and again
//   seek 81.6   go to this moment
//   mute        say nothing at all, as a crashed recorder would
//   silent      the sleeve sends nothing; `heard` undoes it
//   say TEXT    a warning to the operator
//   end         the source ended
#include <atomic>
#include <charconv>
#include <chrono>
#include <cstdlib>
#include <iostream>
#include <mutex>
#include <string>
#include <thread>

#include "app/live_hub.h"
#include "pages/replay_day.h"
#include "pages/server.h"

namespace {

struct Stage {
  std::mutex mutex;  // guards day and the switches
  masseter::ReplayDay& day;
  bool run = true;
  bool mute = false;
};

void Obey(const std::string& line, Stage& stage) {
  const std::size_t space = line.find(' ');
  const std::string word = line.substr(0, space);
  const std::string rest =
      space == std::string::npos ? "" : line.substr(space + 1);
  const std::lock_guard lock(stage.mutex);
  if (word == "run") stage.run = true;
  if (word == "hold") stage.run = false;
  stage.mute = word == "mute";
  if (word == "silent" || word == "heard") {
    stage.day.SetSilent(word == "silent");
  }
  if (word == "say") stage.day.Say("warn", rest);
  if (word == "end") stage.day.End();
  if (word == "seek") {
    double t_s = 0.0;
    std::from_chars(rest.data(), rest.data() + rest.size(), t_s);
    stage.day.Seek(t_s);
  }
}

}  // namespace

int main(int argc, char** argv) {
  masseter::LiveHub hub;
  auto server =
      masseter::PageServer::Start(argc > 1 ? argv[1] : "127.0.0.1:0", hub);
  if (!server) {
    std::cerr << "masseter_replay: " << server.error().Text() << "\n";
    return 4;
  }
  masseter::ReplayDay day(hub, argc > 2 ? std::atoi(argv[2]) : 1);
  day.Seek(0.0);
  std::cout << (*server)->url() << std::endl;

  Stage stage{{}, day};
  std::atomic<bool> done = false;
  std::thread ticker([&stage, &done] {
    constexpr std::chrono::milliseconds kTick(50);
    auto next = std::chrono::steady_clock::now();
    while (!done) {
      next += kTick;
      std::this_thread::sleep_until(next);
      const std::lock_guard lock(stage.mutex);
      if (!stage.mute) stage.day.Advance(stage.run ? 0.05 : 0.0);
    }
  });
  for (std::string line; std::getline(std::cin, line);) Obey(line, stage);
  done = true;
  ticker.join();
  return 0;
}
