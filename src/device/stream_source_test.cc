#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <thread>
#include <utility>
//
#include <boost/asio/post.hpp>

#include "device/source_testing.h"

namespace masseter {
namespace {

// A folder of its own for each test.
struct Folder {
  Folder() {
    std::string name =
        (std::filesystem::temp_directory_path() / "masseter-XXXXXX").string();
    path = mkdtemp(name.data());
  }
  ~Folder() { std::filesystem::remove_all(path); }
  std::filesystem::path path;
};

std::string ManyLines() {
  std::string text;
  for (int i = 0; text.size() < 1'000'000; ++i) {
    text += std::to_string(i) + "," + std::to_string(i * 31) + "\n";
  }
  return text;
}

// Standard input replaced by `fd` as long as this lives.
struct StandardInput {
  explicit StandardInput(int fd) : saved(dup(STDIN_FILENO)) {
    dup2(fd, STDIN_FILENO);
    close(fd);
  }
  ~StandardInput() {
    dup2(saved, STDIN_FILENO);
    close(saved);
  }
  int saved;
};

TEST(FileSource, ReadsAFileInChunksAndLetsOthersRunBetween) {
  Folder folder;
  const std::string path = folder.path / "day.csv";
  const std::string text = ManyLines();
  std::ofstream(path, std::ios::binary) << text;
  Listening listening("file:" + path);
  int turns = 0;
  std::function<void()> other = [&] {
    ++turns;
    if (listening.ends == 0) boost::asio::post(listening.io, other);
  };
  boost::asio::post(listening.io, other);
  ASSERT_TRUE(listening.RunToEnd());
  EXPECT_TRUE(listening.bytes == text);
  EXPECT_EQ(listening.up, path);
  EXPECT_FALSE(listening.end_error);
  EXPECT_LE(listening.largest, 65536u);
  EXPECT_GE(turns, static_cast<int>(text.size() / 65536));
  EXPECT_EQ(listening.times.front(), 0.0);
}

TEST(FileSource, SaysWhyAFileCannotBeRead) {
  Folder folder;
  const std::string path = folder.path / "none.csv";
  Listening missing("file:" + path);
  ASSERT_TRUE(missing.RunToEnd());
  EXPECT_EQ(missing.EndText(), path + ": no such file");
  EXPECT_EQ(missing.end_error->kind, ErrorKind::kBadInput);
  Listening directory("file:" + folder.path.string());
  ASSERT_TRUE(directory.RunToEnd());
  EXPECT_EQ(directory.EndText(),
            folder.path.string() + ": a folder, not a file");
}

TEST(FileSource, EndsAtOnceOnAnEmptyFile) {
  Folder folder;
  const std::string path = folder.path / "empty.csv";
  std::ofstream{path};
  Listening listening("file:" + path);
  ASSERT_TRUE(listening.RunToEnd());
  EXPECT_FALSE(listening.end_error);
  EXPECT_EQ(listening.bytes, "");
}

TEST(FileSource, WaitsForTheWriterOfANamedPipe) {
  Folder folder;
  const std::string path = folder.path / "pipe";
  ASSERT_EQ(mkfifo(path.c_str(), 0600), 0);
  Listening listening("file:" + path);
  ASSERT_TRUE(listening.RunUntil([&] { return !listening.up.empty(); }));
  listening.io.restart();
  listening.io.run_for(std::chrono::milliseconds(50));
  EXPECT_EQ(listening.ends, 0);
  std::thread writer([&] { std::ofstream(path) << "1,2\n"; });
  EXPECT_TRUE(listening.RunToEnd());
  writer.join();
  EXPECT_EQ(listening.bytes, "1,2\n");
  EXPECT_FALSE(listening.end_error);
  EXPECT_GT(listening.times.front(), 1.7e9);
}

TEST(StandardInputSource, ReadsAPipeToItsEndAndLeavesItsFlagsAsTheyWere) {
  int ends[2];
  ASSERT_EQ(pipe(ends), 0);
  StandardInput input(ends[0]);
  const int flags = fcntl(STDIN_FILENO, F_GETFL);
  const std::string text = ManyLines();
  std::thread writer([&] {
    std::size_t done = 0;
    while (done < text.size()) {
      const ssize_t n = write(ends[1], text.data() + done,
                              std::min<std::size_t>(4093, text.size() - done));
      if (n <= 0) break;
      done += static_cast<std::size_t>(n);
    }
    close(ends[1]);
  });
  Listening listening("-");
  EXPECT_TRUE(listening.RunToEnd());
  writer.join();
  EXPECT_TRUE(listening.bytes == text);
  EXPECT_EQ(listening.up, "standard input");
  EXPECT_FALSE(listening.end_error);
  EXPECT_EQ(fcntl(STDIN_FILENO, F_GETFL), flags);
}

TEST(StandardInputSource, ReadsARedirectedFile) {
  Folder folder;
  const std::string path = folder.path / "day.csv";
  std::ofstream(path) << "1,2\n";
  StandardInput input(open(path.c_str(), O_RDONLY));
  Listening listening("-");
  ASSERT_TRUE(listening.RunToEnd());
  EXPECT_EQ(listening.bytes, "1,2\n");
  EXPECT_EQ(listening.times.front(), 0.0);
}

TEST(StandardInputSource, EndsAtOnceOnDevNull) {
  StandardInput input(open("/dev/null", O_RDONLY));
  Listening listening("-");
  ASSERT_TRUE(listening.RunToEnd());
  EXPECT_FALSE(listening.end_error);
}

}  // namespace
}  // namespace masseter
