// What Create and Open refuse, in which words, and what they leave behind.
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "logbook/logbook.h"
#include "logbook/schema.h"
#include "logbook/test_files.h"

namespace masseter {
namespace {

class OpeningTest : public testing::Test {
 protected:
  Logbook New() {
    auto book = Logbook::Create(path_, "", 0.0);
    EXPECT_TRUE(book) << book.error().Text();
    return std::move(*book);
  }

  // The sentence of every kind of opening, which must be the same.
  std::string Refusal(const std::string& path) {
    const auto read = Logbook::Open(path, Access::kRead);
    const auto write = Logbook::Open(path, Access::kWrite);
    const auto record = Logbook::Open(path, Access::kRecord);
    EXPECT_FALSE(read || write || record);
    if (read || write || record) return "";
    EXPECT_EQ(read.error().Text(), write.error().Text());
    EXPECT_EQ(read.error().Text(), record.error().Text());
    EXPECT_EQ(read.error().kind, ErrorKind::kBadInput);
    EXPECT_EQ(read.error().where, path);
    return read.error().what;
  }

  TestFolder folder_;
  std::string path_ = folder_.File("day.book");
};

TEST_F(OpeningTest, RefusesAFileThatIsNotThere) {
  EXPECT_EQ(Refusal(path_), "there is no such logbook");
  EXPECT_TRUE(folder_.Names().empty());
}

TEST_F(OpeningTest, RefusesAFolder) {
  EXPECT_EQ(Refusal(folder_.path().string()), "is a folder, not a logbook");
}

TEST_F(OpeningTest, RefusesFilesThatAreNoLogbook) {
  std::mt19937_64 random(1);
  std::string noise(20000, '\0');
  for (char& c : noise) c = static_cast<char>(random());
  for (const std::string& bytes :
       {std::string(), std::string("c1,c2\n1,2\n"), noise}) {
    WriteBytes(path_, bytes);
    EXPECT_EQ(Refusal(path_), "is not a masseter logbook");
    EXPECT_EQ(ReadBytes(path_), bytes);
  }
  EXPECT_EQ(folder_.Names(), std::vector<std::string>{"day.book"});
}

TEST_F(OpeningTest, RefusesAnotherProgramsDatabase) {
  {
    auto db = Database::Open(path_, OpenMode::kCreate);
    ASSERT_TRUE(db);
    ASSERT_TRUE(db->Execute("CREATE TABLE capture(id); PRAGMA user_version=1"));
  }
  EXPECT_EQ(Refusal(path_), "is not a masseter logbook");
}

TEST_F(OpeningTest, RefusesALogbookOfANewerVersion) {
  New();
  {
    auto db = Database::Open(path_, OpenMode::kReadWrite);
    ASSERT_TRUE(db->Execute("PRAGMA user_version = 99"));
  }
  EXPECT_EQ(Refusal(path_),
            "was made by a newer version of masseter (format 99, this program "
            "knows 2)");
}

TEST_F(OpeningTest, RefusesALogbookThatWasCutShort) {
  New();
  std::string bytes = ReadBytes(path_);
  WriteBytes(path_, bytes.substr(0, bytes.size() / 2));
  EXPECT_NE(Refusal(path_).find("is damaged"), std::string::npos);
}

TEST_F(OpeningTest, RefusesALogbookWithoutItsRules) {
  New();
  {
    auto db = Database::Open(path_, OpenMode::kReadWrite);
    ASSERT_TRUE(db->Execute("DROP TRIGGER raw_chunk_remains"));
  }
  EXPECT_EQ(Refusal(path_), "is damaged (tables are missing)");
}

TEST_F(OpeningTest, RefusesALogbookWhoseFieldDayCouldBeRewritten) {
  New();
  {
    auto db = Database::Open(path_, OpenMode::kReadWrite);
    ASSERT_TRUE(db->Execute("DROP TRIGGER day_entry_stays"));
  }
  EXPECT_EQ(Refusal(path_), "is damaged (tables are missing)");
}

TEST_F(OpeningTest, NeverOverwritesAnExistingFile) {
  WriteBytes(path_, "precious");
  const auto refused = Logbook::Create(path_, "", 0.0);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().Text(),
            path_ + ": exists already; a logbook is never overwritten");
  EXPECT_EQ(ReadBytes(path_), "precious");
  EXPECT_EQ(folder_.Names(), std::vector<std::string>{"day.book"});
}

TEST_F(OpeningTest, DoesNotCreateInAFolderThatIsNotThere) {
  const auto refused = Logbook::Create(folder_.File("no/day.book"), "", 0.0);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().kind, ErrorKind::kBadInput);
  EXPECT_NE(refused.error().what.find("there is no folder"), std::string::npos);
}

// SQLite would read such a file into the new logbook.
TEST_F(OpeningTest, DoesNotCreateBesideTheRestOfADeletedLogbook) {
  WriteBytes(path_ + "-wal", "samples");
  const auto refused = Logbook::Create(path_, "", 0.0);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().where, path_ + "-wal");
  EXPECT_EQ(folder_.Names(), std::vector<std::string>{"day.book-wal"});
}

TEST_F(OpeningTest, AnEmptyLogThatAReaderLeftIsNoHindrance) {
  WriteBytes(path_ + "-wal", "");
  WriteBytes(path_ + "-shm", std::string(32768, '\7'));
  ASSERT_TRUE(Logbook::Create(path_, "[rig]", 0.0));
  const auto book = Logbook::Open(path_, Access::kRead);
  ASSERT_TRUE(book) << book.error().Text();
  EXPECT_EQ(*book->RigToml(), "[rig]");
}

TEST_F(OpeningTest, KeepsItsSettingsInTheFile) {
  New();
  auto db = Database::Open(path_, OpenMode::kReadWrite);
  EXPECT_EQ(db->QueryInt("PRAGMA application_id"), kApplicationId);
  EXPECT_EQ(db->QueryInt("PRAGMA user_version"), CurrentVersion());
  auto mode = db->Prepare("PRAGMA journal_mode");
  ASSERT_TRUE(mode->Step());
  EXPECT_EQ(mode->Text(0), "wal");
}

// Runs `body` as an ordinary user (root may write anywhere); its exit code.
int AsOrdinaryUser(const std::function<int()>& body) {
  const pid_t child = fork();
  if (child == 0) {
    if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0)) _exit(99);
    _exit(body());
  }
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

TEST_F(OpeningTest, ReadsFromWriteProtectedMediaButDoesNotWriteThere) {
  New();
  chmod(path_.c_str(), 0444);
  chmod(folder_.path().c_str(), 0555);
  const int code = AsOrdinaryUser([&] {
    auto reader = Logbook::Open(path_, Access::kRead);
    if (!reader || !reader->Captures()) return 1;
    auto writer = Logbook::Open(path_, Access::kRecord);
    if (writer) return 2;
    if (writer.error().kind != ErrorKind::kMachine) return 3;
    auto created = Logbook::Create(folder_.File("new.book"), "", 0.0);
    if (created) return 4;
    return created.error().kind == ErrorKind::kMachine ? 0 : 5;
  });
  chmod(folder_.path().c_str(), 0755);
  EXPECT_EQ(code, 0);
  EXPECT_EQ(folder_.Names(), std::vector<std::string>{"day.book"});
}

TEST(Migrate, RunsOnlyTheStepsThatAreMissingAndAllOrNone) {
  TestFolder folder;
  auto db = Database::Open(folder.File("a.book"), OpenMode::kCreate);
  ASSERT_TRUE(db);
  const std::string_view steps[] = {
      "CREATE TABLE a(x); INSERT INTO a VALUES(1)",
      "ALTER TABLE a ADD COLUMN y DEFAULT 7",
      "UPDATE a SET x = 2; SELECT nonsense"};
  ASSERT_TRUE(Migrate(*db, std::span(steps).first(1)));
  EXPECT_EQ(db->QueryInt("PRAGMA user_version"), 1);
  ASSERT_TRUE(Migrate(*db, std::span(steps).first(2)));
  EXPECT_EQ(db->QueryInt("PRAGMA user_version"), 2);
  EXPECT_EQ(db->QueryInt("SELECT count(*) FROM a WHERE y = 7"), 1);
  EXPECT_FALSE(Migrate(*db, steps));
  EXPECT_EQ(db->QueryInt("PRAGMA user_version"), 2);
  EXPECT_EQ(db->QueryInt("SELECT x FROM a"), 1);
  // An older program leaves a newer file alone.
  EXPECT_FALSE(Migrate(*db, std::span(steps).first(1)));
}

}  // namespace
}  // namespace masseter
