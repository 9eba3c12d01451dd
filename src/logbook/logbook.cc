#include "logbook/logbook.h"

#include <sys/stat.h>

#include <cerrno>
#include <cstring>

#include "logbook/logbook_impl.h"
#include "logbook/new_file.h"
#include "logbook/schema.h"

namespace masseter {
namespace {

// Of every connection that writes.
Expected<void> PrepareToWrite(Database& db) {
  return db.Execute(
      "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;"
      "PRAGMA journal_size_limit = 67108864");
}

// The whole logbook under a temporary name, closed again.
Expected<void> BuildNew(const std::string& temporary,
                        const std::string& rig_toml, double now_unix_s) {
  auto db = Database::Open(temporary, OpenMode::kCreate);
  if (!db) return tl::unexpected(db.error());
  if (auto done = PrepareToWrite(*db); !done) return done;
  if (auto done = Migrate(*db, Migrations()); !done) return done;
  {
    auto insert = db->Prepare(
        "INSERT INTO rig(revision, created_unix_s, toml) VALUES(1, ?1, ?2)");
    if (!insert) return tl::unexpected(insert.error());
    insert->Bind(1, now_unix_s).Bind(2, std::string_view(rig_toml));
    if (auto done = insert->Run(); !done) return done;
  }
  const auto mode = db->QueryInt("PRAGMA journal_mode = WAL");
  if (!mode) return tl::unexpected(mode.error());
  return {};
}

// What can be said about `path` without opening it. A descriptor of our own
// is never opened on a logbook: closing it would drop SQLite's locks.
Expected<std::int64_t> CheckFile(const std::string& path) {
  struct stat found = {};
  if (stat(path.c_str(), &found) != 0) {
    if (errno == ENOENT) return BadInput(path, "there is no such logbook");
    return BadInput(path, std::string("cannot be opened: ") + strerror(errno));
  }
  if (S_ISDIR(found.st_mode)) {
    return BadInput(path, "is a folder, not a logbook");
  }
  if (!S_ISREG(found.st_mode)) return BadInput(path, "is not a file");
  return found.st_size;
}

// A file that ends before its last page, with no write-ahead log to complete
// it, was cut short.
Expected<void> CheckLength(Database& db, std::int64_t file_bytes) {
  struct stat wal = {};
  if (stat((db.path() + "-wal").c_str(), &wal) == 0) return {};
  const auto pages = db.QueryInt("PRAGMA page_count");
  if (!pages) return tl::unexpected(pages.error());
  const auto page_bytes = db.QueryInt("PRAGMA page_size");
  if (!page_bytes) return tl::unexpected(page_bytes.error());
  if (*pages * *page_bytes > file_bytes) {
    return BadInput(db.path(), "is damaged (it ends after " +
                                   std::to_string(file_bytes) + " of " +
                                   std::to_string(*pages * *page_bytes) +
                                   " bytes)");
  }
  return {};
}

Expected<Database> OpenChecked(const std::string& path, OpenMode mode,
                               std::int64_t file_bytes, int* version) {
  auto db = Database::Open(path, mode);
  if (!db) return db;
  const auto found = CheckIdentity(*db);
  if (!found) {
    if (found.error().what == "is not a database") {
      return BadInput(path, "is not a masseter logbook");
    }
    return tl::unexpected(found.error());
  }
  *version = *found;
  if (auto whole = CheckLength(*db, file_bytes); !whole) {
    return tl::unexpected(whole.error());
  }
  return db;
}

// Reading needs a "-shm" file beside the logbook; where none can be made (a
// write-protected card) and no write-ahead log waits, the file is read alone.
Expected<Database> OpenToRead(const std::string& path, std::int64_t file_bytes,
                              int* version) {
  auto db = OpenChecked(path, OpenMode::kReadOnly, file_bytes, version);
  if (db || db.error().kind != ErrorKind::kMachine) return db;
  struct stat wal = {};
  if (stat((path + "-wal").c_str(), &wal) == 0 && wal.st_size > 0) return db;
  auto alone = OpenChecked(path, OpenMode::kImmutable, file_bytes, version);
  return alone ? std::move(alone) : std::move(db);
}

}  // namespace

Expected<Logbook> Logbook::Create(const std::string& path,
                                  const std::string& rig_toml,
                                  double now_unix_s) {
  if (auto free = CheckPlaceIsFree(path); !free) {
    return tl::unexpected(free.error());
  }
  const std::string temporary = TemporaryNameFor(path);
  auto done = BuildNew(temporary, rig_toml, now_unix_s);
  if (done) done = PutInPlace(temporary, path);
  RemoveTemporary(temporary);
  if (!done) {
    Error error = done.error();
    if (error.where == temporary) error.where = path;
    return tl::unexpected(error);
  }
  return Open(path, Access::kWrite);
}

Expected<Logbook> Logbook::Open(const std::string& path, Access access) {
  const auto file_bytes = CheckFile(path);
  if (!file_bytes) return tl::unexpected(file_bytes.error());
  int version = 0;
  auto db = access == Access::kRead ? OpenToRead(path, *file_bytes, &version)
                                    : OpenChecked(path, OpenMode::kReadWrite,
                                                  *file_bytes, &version);
  if (!db) return tl::unexpected(db.error());
  auto impl = std::make_unique<Impl>(path, access, std::move(*db));
  if (access == Access::kRecord) {
    auto lock = RecorderLock::Take(path);
    if (!lock) return tl::unexpected(lock.error());
    impl->lock = std::move(*lock);
  }
  if (access != Access::kRead) {
    auto ready = PrepareToWrite(impl->db);
    if (ready && version < CurrentVersion()) {
      ready = Migrate(impl->db, Migrations());
    }
    if (!ready) return tl::unexpected(ready.error());
  }
  return Logbook(std::move(impl));
}

Logbook::Logbook(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Logbook::Logbook(Logbook&&) noexcept = default;
Logbook& Logbook::operator=(Logbook&&) noexcept = default;

Logbook::~Logbook() = default;

Logbook::Impl::~Impl() {
  // A last attempt for samples that no Commit has stored; who needs to know
  // whether it worked calls Commit.
  static_cast<void>(TryAll());
}

const std::string& Logbook::path() const { return impl_->path; }

Expected<void> Logbook::ExpectMuch() {
  return impl_->db.Execute("PRAGMA cache_size = -65536");
}

Expected<void> Logbook::Transact(const std::function<Expected<void>()>& body) {
  return impl_->Transact(body);
}

Expected<void> Logbook::Impl::Transact(
    const std::function<Expected<void>()>& body) {
  if (auto stored = StoreAll(); !stored) return stored;
  if (auto begun = Begin(); !begun) return begun;
  auto done = body();
  if (done) done = StoreAll();
  if (done) done = End();
  if (!done) {
    Abandon();
    builders.clear();
    ready.clear();
    ready_bytes = 0;
  }
  return done;
}

Expected<void> Logbook::Impl::TransactDerived(
    const std::function<Expected<void>()>& body) {
  if (depth > 0) return Transact(body);
  if (auto stored = StoreAll(); !stored) return stored;
  // With a write-ahead log NORMAL leaves out the sync of a commit and no other.
  if (auto ok = db.Execute("PRAGMA synchronous = NORMAL"); !ok) return ok;
  auto done = Transact(body);
  auto again = db.Execute("PRAGMA synchronous = FULL");
  return done ? again : done;
}

Expected<void> Logbook::Impl::Begin() {
  if (access == Access::kRead) {
    return BadInput(path, "is open for reading only");
  }
  // A full disk may end the whole transaction at any statement inside it.
  if (depth > 0 && !db.InTransaction()) {
    return MachineFailure(path, "the change failed and was taken back");
  }
  auto begun = db.Execute(depth == 0 ? "BEGIN IMMEDIATE" : "SAVEPOINT step");
  if (begun) ++depth;
  return begun;
}

Expected<void> Logbook::Impl::End() {
  auto ended = db.Execute(depth == 1 ? "COMMIT" : "RELEASE step");
  if (ended) --depth;
  return ended;
}

void Logbook::Impl::Abandon() {
  // The failure that led here is the one to tell; nothing is stored whether or
  // not the rollback itself succeeds.
  if (db.InTransaction()) {
    static_cast<void>(
        db.Execute(depth == 1 ? "ROLLBACK" : "ROLLBACK TO step; RELEASE step"));
  }
  --depth;
}

}  // namespace masseter
