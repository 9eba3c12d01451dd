// The disk fills up while `live` records: through a limit on a file's size,
// which any machine has, and on a small file system of its own.
#include <sys/resource.h>

#include "tests/integration/program.h"

namespace masseter::integration {
namespace {

// `live` from standard input, fed piece by piece.
class DiskFull : public testing::Test {
 protected:
  void Start(std::vector<std::string> more = {}) {
    book_ = CalibratedBook(folder_);
    std::vector<std::string> call = {"live",
                                     book_,
                                     "--from",
                                     "-",
                                     "--no-page",
                                     "--roster",
                                     Example("roster.csv"),
                                     "--marks",
                                     Example("marks.csv")};
    call.insert(call.end(), more.begin(), more.end());
    live_ = std::make_unique<FedProcess>(call);
  }

  // The share [from, to) of the example's capture, like a device: in pieces.
  void Feed(double from, double to) {
    const std::string text = FileText(Example("capture.csv"));
    const auto size = static_cast<double>(text.size());
    auto at = static_cast<std::size_t>(from * size);
    const auto end = static_cast<std::size_t>(to * size);
    while (at < end) {
      const std::size_t n = std::min<std::size_t>(end - at, 2000);
      ASSERT_TRUE(live_->Write(std::string_view(text).substr(at, n)));
      at += n;
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
  }

  std::uint64_t Stored() const {
    const Said said = Masseter({"status", book_, "--json"});
    const auto captures = said.Json()["captures"];
    return captures.empty() ? 0 : captures[0]["samples"].get<std::uint64_t>();
  }

  // No file of the recorder may grow beyond `bytes`.
  void Limit(rlim_t bytes) const {
    const rlimit limit = {bytes, RLIM_INFINITY};
    ASSERT_EQ(prlimit(live_->pid(), RLIMIT_FSIZE, &limit, nullptr), 0);
  }

  Folder folder_;
  std::string book_;
  std::unique_ptr<FedProcess> live_;
};

nlohmann::json ImportedBites() {
  const Folder folder;
  const std::string book = CalibratedBook(folder);
  EXPECT_EQ(Masseter({"import", book, Example("capture.csv"), "--roster",
                      Example("roster.csv"), "--marks", Example("marks.csv")})
                .exit,
            0);
  return BitesOf(book);
}

TEST_F(DiskFull, LosesNothingWhenRoomIsMade) {
  ASSERT_NO_FATAL_FAILURE(Start());
  Feed(0.0, 0.2);
  ASSERT_TRUE(Eventually([&] { return Stored() > 0; }));
  Limit(4096);
  Feed(0.2, 0.9);
  ASSERT_TRUE(live_->Says("NOT STORED")) << live_->out();
  Limit(RLIM_INFINITY);
  ASSERT_TRUE(live_->Says("everything is stored")) << live_->out();
  Feed(0.9, 1.0);
  live_->EndOfInput();
  const Said said = live_->Wait();
  EXPECT_EQ(said.exit, 0) << said.err;
  EXPECT_EQ(Difference(BitesOf(book_), ImportedBites()), "");
}

TEST_F(DiskFull, TellsWhatIsKeptWhenMemoryIsUsedUp) {
  ASSERT_NO_FATAL_FAILURE(Start({"--hold", "0.02"}));
  Feed(0.0, 0.2);
  ASSERT_TRUE(Eventually([&] { return Stored() > 0; }));
  Limit(4096);
  signal(SIGPIPE, SIG_IGN);
  const std::string text = FileText(Example("capture.csv"));
  for (std::size_t at = text.size() / 5; at < text.size(); at += 2000) {
    if (!live_->Write(std::string_view(text).substr(at, 2000))) break;
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  const Said said = live_->Wait();
  EXPECT_EQ(said.exit, 4) << said.err;
  const std::uint64_t stored = Stored();
  EXPECT_GT(stored, 0U);
  EXPECT_NE(said.err.find("kept " + std::to_string(stored) + " samples up to "),
            std::string::npos)
      << said.err << stored;
  EXPECT_NE(said.err.find("lost "), std::string::npos) << said.err;
  EXPECT_EQ(std::count(said.err.begin(), said.err.end(), '\n'), 1) << said.err;
  // The logbook is sound and takes the next run.
  const Said next =
      Masseter({"live", book_, "--from", "file:" + Example("capture.csv"),
                "--no-page", "--json"});
  EXPECT_EQ(next.exit, 0) << next.err;
  EXPECT_EQ(next.Json()["captures"], nlohmann::json({2}));
}

TEST_F(DiskFull, TellsWhatIsLostWhenItIsStoppedMeanwhile) {
  ASSERT_NO_FATAL_FAILURE(Start());
  Feed(0.0, 0.2);
  ASSERT_TRUE(Eventually([&] { return Stored() > 0; }));
  Limit(4096);
  Feed(0.2, 0.5);
  ASSERT_TRUE(live_->Says("NOT STORED")) << live_->out();
  live_->Signal(SIGINT);
  const Said said = live_->Wait();
  EXPECT_EQ(said.exit, 4) << said.err;
  EXPECT_NE(said.err.find("kept " + std::to_string(Stored()) + " samples"),
            std::string::npos)
      << said.err;
}

// A file system of 2 MB in namespaces of its own, really full.
TEST_F(DiskFull, LosesNothingOnAFileSystemThatWasFull) {
  const std::string inside = R"sh(
set -e
cd "$1"
mkdir disk
mount -t tmpfs -o size=2m none disk
cp day.book disk
mkfifo feed
"$2" live disk/day.book --from - --no-page --roster "$3/roster.csv" \
  --marks "$3/marks.csv" < feed > said 2>&1 &
exec 3> feed
capture="$3/capture.csv"
size=$(stat -c %s "$capture")
await() { for i in $(seq 400); do grep -q "$1" said && return; sleep 0.05; done
  echo "never said: $1"; cat said; exit 1; }
head -c $((size / 3)) "$capture" >&3
await "Recording"
sleep 0.5
dd if=/dev/zero of=disk/filler bs=4k 2>/dev/null || true
tail -c +$((size / 3 + 1)) "$capture" >&3
await "the disk is full"
rm disk/filler
await "everything is stored"
exec 3>&-
wait $!
cp disk/day.book* .
)sh";
  book_ = CalibratedBook(folder_);
  const Said allowed = Process("/usr/bin/unshare", {"-rm", "true"}).Wait();
  if (allowed.exit != 0) {
    GTEST_SKIP() << "no namespace of our own here: " << allowed.err;
  }
  const Said said =
      Process("/usr/bin/unshare",
              {"-rm", "/bin/bash", "-c", inside, "bash", folder_ / "",
               MASSETER_PROGRAM, MASSETER_SOURCE_DIR "/examples/field-day"})
          .Wait();
  ASSERT_EQ(said.exit, 0) << said.out << said.err;
  EXPECT_EQ(Difference(BitesOf(book_), ImportedBites()), "");
}

}  // namespace
}  // namespace masseter::integration
