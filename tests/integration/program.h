// Runs the built program and looks at what it says and leaves behind.
#ifndef MASSETER_TESTS_INTEGRATION_PROGRAM_H_
#define MASSETER_TESTS_INTEGRATION_PROGRAM_H_

#include <fcntl.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <thread>
#include <utility>
#include <vector>

namespace masseter::integration {

inline std::string FileText(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

// Answers true in time, or the time is over.
template <class Test>
bool Eventually(Test test, double seconds = 20.0) {
  const auto end =
      std::chrono::steady_clock::now() + std::chrono::duration<double>(seconds);
  while (!test()) {
    if (std::chrono::steady_clock::now() > end) return false;
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  return true;
}

// A folder for one test, gone afterwards.
class Folder {
 public:
  Folder() {
    path_ = (std::filesystem::temp_directory_path() / "masseter-test-XXXXXX")
                .string();
    if (mkdtemp(path_.data()) == nullptr) std::abort();
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;

  std::string operator/(const std::string& name) const {
    return path_ + "/" + name;
  }
  std::string Write(const std::string& name, const std::string& text) const {
    std::ofstream(*this / name, std::ios::binary) << text;
    return *this / name;
  }
  std::vector<std::string> Names() const {
    std::vector<std::string> names;
    for (const auto& e : std::filesystem::directory_iterator(path_)) {
      // What SQLite keeps beside a file that is open is not the user's.
      const std::string extension = e.path().extension().string();
      if (extension.ends_with("-wal") || extension.ends_with("-shm")) continue;
      names.push_back(e.path().filename().string());
    }
    std::sort(names.begin(), names.end());
    return names;
  }

 private:
  std::string path_;
};

struct Said {
  int exit = -1;  // -1: it did not end by itself
  std::string out;
  std::string err;
  nlohmann::json Json() const {
    return nlohmann::json::parse(out, nullptr, false);
  }
};

// A running call; its two streams go to files in a folder of its own.
class Process {
 public:
  explicit Process(std::vector<std::string> words, int input = -1)
      : Process(MASSETER_PROGRAM, std::move(words), input) {}
  Process(const std::string& program, std::vector<std::string> words,
          int input = -1) {
    words.insert(words.begin(), program);
    std::vector<char*> argv;
    for (std::string& word : words) argv.push_back(word.data());
    argv.push_back(nullptr);
    const int out = Open("out");
    const int err = Open("err");
    pid_ = fork();
    if (pid_ == 0) {
      const int in = input >= 0 ? input : open("/dev/null", O_RDONLY);
      dup2(in, STDIN_FILENO);
      dup2(out, STDOUT_FILENO);
      dup2(err, STDERR_FILENO);
      execv(argv[0], argv.data());
      _exit(127);
    }
    close(out);
    close(err);
  }
  ~Process() {
    if (pid_ > 0) {
      kill(pid_, SIGKILL);
      waitpid(pid_, nullptr, 0);
    }
  }
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;

  pid_t pid() const { return pid_; }
  std::string out() const { return FileText(folder_ / "out"); }
  std::string err() const { return FileText(folder_ / "err"); }
  void Signal(int number) const { kill(pid_, number); }
  // Whether these words come, on standard output or on standard error.
  bool Says(const std::string& words) const {
    return Eventually(
        [&] { return (out() + err()).find(words) != std::string::npos; });
  }

  Said Wait(double seconds = 120.0) {
    int status = 0;
    const bool ended = Eventually(
        [&] { return waitpid(pid_, &status, WNOHANG) == pid_; }, seconds);
    if (!ended) {
      kill(pid_, SIGKILL);
      waitpid(pid_, &status, 0);
    }
    pid_ = 0;
    const int code = ended && WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return {code, out(), err()};
  }

 private:
  int Open(const char* name) const {
    return open((folder_ / name).c_str(), O_CREAT | O_WRONLY | O_CLOEXEC, 0600);
  }
  Folder folder_;
  pid_t pid_ = 0;
};

// False when nobody reads any more.
inline bool WriteAll(int fd, std::string_view text) {
  while (!text.empty()) {
    const ssize_t n = write(fd, text.data(), text.size());
    if (n <= 0) return false;
    text.remove_prefix(static_cast<std::size_t>(n));
  }
  return true;
}

// A running call whose standard input the test writes.
class FedProcess : public Process {
 public:
  explicit FedProcess(std::vector<std::string> words)
      : FedProcess(std::move(words), Pipe()) {}
  ~FedProcess() { EndOfInput(); }

  bool Write(std::string_view text) const { return WriteAll(to_, text); }
  void EndOfInput() {
    if (to_ >= 0) close(to_);
    to_ = -1;
  }

 private:
  FedProcess(std::vector<std::string> words, std::array<int, 2> ends)
      : Process(std::move(words), ends[0]), to_(ends[1]) {
    close(ends[0]);
  }
  static std::array<int, 2> Pipe() {
    std::array<int, 2> ends{-1, -1};
    EXPECT_EQ(pipe2(ends.data(), O_CLOEXEC), 0);
    return ends;
  }
  int to_;
};

inline Said Masseter(std::vector<std::string> words) {
  return Process(std::move(words)).Wait();
}

inline std::string Example(const std::string& name) {
  return std::string(MASSETER_SOURCE_DIR) + "/examples/field-day/" + name;
}

// A calibrated logbook for the example's rig.
inline std::string CalibratedBook(const Folder& folder,
                                  const std::string& name = "day.book") {
  const std::string book = folder / name;
  const Said made = Masseter({"new", book, "--rig", Example("rig.toml")});
  EXPECT_EQ(made.exit, 0) << made.err;
  const Said calibrated = Masseter(
      {"calibrate", book, Example("readings.csv"), "--gravity", "9.81225"});
  EXPECT_EQ(calibrated.exit, 0) << calibrated.err;
  return book;
}

// Where SimulatedDay wrote one of its files: "capture.csv", "roster.csv", ...
inline std::string Simulated(const Folder& folder, const std::string& name) {
  return folder / "sim/" + name;
}

// A simulated day without faults, and a calibrated logbook for its sleeve.
inline std::string SimulatedDay(const Folder& folder) {
  const std::string book = folder / "sim.book";
  for (const std::vector<std::string>& call :
       std::vector<std::vector<std::string>>{
           {"sim", "--files", folder / "sim", "--no-faults"},
           {"new", book, "--rig", Simulated(folder, "rig.toml")},
           {"calibrate", book, Simulated(folder, "readings.csv"), "--gravity",
            "9.81225"}}) {
    const Said said = Masseter(call);
    EXPECT_EQ(said.exit, 0) << said.err;
  }
  return book;
}

// The bites of a logbook without what may differ from recording to recording.
inline nlohmann::json BitesOf(const std::string& book) {
  const Said said = Masseter({"bites", book, "--json"});
  EXPECT_EQ(said.exit, 0) << said.err;
  nlohmann::json bites = said.Json()["bites"];
  for (auto& bite : bites) {
    bite.erase("id");
    bite.erase("capture");
    bite.erase("start_unix_s");
  }
  return bites;
}

// The first place where two lists of bites differ, or "".
inline std::string Difference(const nlohmann::json& a,
                              const nlohmann::json& b) {
  const nlohmann::json edits = nlohmann::json::diff(a, b);
  return edits.empty() ? "" : edits.front().dump();
}

}  // namespace masseter::integration

#endif  // MASSETER_TESTS_INTEGRATION_PROGRAM_H_
