#include "logbook/schema.h"

#include <array>
#include <string>

#include "logbook/bench_entries.h"
#include "logbook/day_entries.h"

namespace masseter {
namespace {

constexpr std::string_view kFirst = R"sql(
CREATE TABLE rig(
  revision INTEGER PRIMARY KEY,
  created_unix_s REAL NOT NULL,
  toml TEXT NOT NULL) STRICT;

CREATE TABLE calibration(
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  created_unix_s REAL NOT NULL,
  document TEXT NOT NULL,
  readings TEXT NOT NULL) STRICT;

CREATE TABLE capture(
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  source TEXT NOT NULL,
  created_unix_s REAL NOT NULL,
  rig_revision INTEGER NOT NULL REFERENCES rig(revision),
  layout TEXT NOT NULL,
  broken_lines INTEGER NOT NULL,
  notes TEXT NOT NULL,
  open INTEGER NOT NULL DEFAULT 1,
  measured INTEGER NOT NULL DEFAULT 0,
  method TEXT NOT NULL DEFAULT '',
  calibration INTEGER REFERENCES calibration(id)) STRICT;

CREATE TABLE raw_chunk(
  id INTEGER PRIMARY KEY,
  capture INTEGER NOT NULL REFERENCES capture(id),
  first_row INTEGER NOT NULL CHECK(first_row >= 0),
  rows INTEGER NOT NULL CHECK(rows > 0),
  first_seq ANY,
  last_seq ANY,
  first_time ANY,
  last_time ANY,
  host_time_s REAL,
  codec INTEGER NOT NULL,
  sha256 BLOB NOT NULL CHECK(length(sha256) = 32),
  data BLOB NOT NULL,
  UNIQUE(capture, first_row)) STRICT;

CREATE TABLE roster(
  dog TEXT PRIMARY KEY,
  breed TEXT NOT NULL,
  mass_kg REAL) STRICT;

CREATE TABLE mark(
  id INTEGER PRIMARY KEY,
  capture INTEGER NOT NULL REFERENCES capture(id),
  t_s REAL NOT NULL,
  dog TEXT NOT NULL) STRICT;
CREATE INDEX mark_by_capture ON mark(capture, t_s);

CREATE TABLE bite(
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  capture INTEGER NOT NULL REFERENCES capture(id),
  start_s REAL NOT NULL,
  end_s REAL NOT NULL,
  document TEXT NOT NULL) STRICT;
CREATE INDEX bite_by_capture ON bite(capture, start_s);

-- Raw samples are only ever added, each chunk behind the one before.
CREATE TRIGGER raw_chunk_stays BEFORE UPDATE ON raw_chunk BEGIN
  SELECT RAISE(ABORT, 'raw samples are never changed');
END;
CREATE TRIGGER raw_chunk_remains BEFORE DELETE ON raw_chunk BEGIN
  SELECT RAISE(ABORT, 'raw samples are never deleted');
END;
CREATE TRIGGER raw_chunk_follows BEFORE INSERT ON raw_chunk
WHEN NEW.first_row <> coalesce(
    (SELECT first_row + rows FROM raw_chunk WHERE capture = NEW.capture
     ORDER BY first_row DESC LIMIT 1), 0)
  OR EXISTS (SELECT 1 FROM raw_chunk WHERE id = NEW.id) BEGIN
  SELECT RAISE(ABORT, 'raw samples must follow the ones before');
END;
CREATE TRIGGER raw_chunk_in_open_capture BEFORE INSERT ON raw_chunk
WHEN NOT EXISTS (SELECT 1 FROM capture WHERE id = NEW.capture AND open) BEGIN
  SELECT RAISE(ABORT, 'the capture is closed; no raw samples can be added');
END;
CREATE TRIGGER capture_remains BEFORE DELETE ON capture BEGIN
  SELECT RAISE(ABORT, 'captures are never deleted');
END;
CREATE TRIGGER capture_keeps_its_number BEFORE UPDATE OF id ON capture
WHEN NEW.id IS NOT OLD.id BEGIN
  SELECT RAISE(ABORT, 'a capture keeps its number');
END;
CREATE TRIGGER capture_stays_closed BEFORE UPDATE OF open ON capture
WHEN NEW.open AND NOT OLD.open BEGIN
  SELECT RAISE(ABORT, 'a closed capture stays closed');
END;
)sql";

// Format 1 was never given out without the tables of other files.
const std::string& First() {
  static const std::string* const kAll =
      new std::string(std::string(kFirst) + std::string(kBenchTables));
  return *kAll;
}

Expected<void> RunSteps(Database& db,
                        std::span<const std::string_view> migrations,
                        std::size_t from) {
  for (std::size_t i = from; i < migrations.size(); ++i) {
    if (auto done = db.Execute(std::string(migrations[i])); !done) return done;
  }
  return db.Execute(
      "PRAGMA application_id = " + std::to_string(kApplicationId) +
      "; PRAGMA user_version = " + std::to_string(migrations.size()));
}

}  // namespace

std::span<const std::string_view> Migrations() {
  static const std::array<std::string_view, 2> kMigrations = {First(),
                                                              kDayTables};
  return kMigrations;
}

int CurrentVersion() { return static_cast<int>(Migrations().size()); }

Expected<void> Migrate(Database& db,
                       std::span<const std::string_view> migrations) {
  if (auto begun = db.Execute("BEGIN IMMEDIATE"); !begun) return begun;
  // Read inside the transaction: another process may have been faster.
  const auto version = db.QueryInt("PRAGMA user_version");
  Expected<void> done;
  if (!version) {
    done = tl::unexpected(version.error());
  } else if (*version < 0 ||
             static_cast<std::size_t>(*version) > migrations.size()) {
    done = BadInput(db.path(), "was made by a newer version of masseter");
  } else {
    done = RunSteps(db, migrations, static_cast<std::size_t>(*version));
  }
  if (done) done = db.Execute("COMMIT");
  if (!done && db.InTransaction()) {
    // The first failure is the one to tell; a rollback of what never was
    // committed has nothing to add.
    static_cast<void>(db.Execute("ROLLBACK"));
  }
  return done;
}

Expected<int> CheckIdentity(Database& db) {
  const auto id = db.QueryInt("PRAGMA application_id");
  if (!id) return tl::unexpected(id.error());
  if (*id != kApplicationId) {
    return BadInput(db.path(), "is not a masseter logbook");
  }
  const auto version = db.QueryInt("PRAGMA user_version");
  if (!version) return tl::unexpected(version.error());
  if (*version > CurrentVersion() || *version < kOldestVersion) {
    return BadInput(db.path(),
                    "was made by a newer version of masseter (format " +
                        std::to_string(*version) + ", this program knows " +
                        std::to_string(CurrentVersion()) + ")");
  }
  const auto parts = db.QueryInt(
      "SELECT count(*) FROM sqlite_schema WHERE name IN ('rig',"
      "'calibration','capture','raw_chunk','roster','mark','bite',"
      "'raw_chunk_stays','raw_chunk_remains','raw_chunk_follows',"
      "'day_entry','day_entry_stays','day_entry_remains')");
  if (!parts) return tl::unexpected(parts.error());
  if (*parts < (*version >= 2 ? 13 : 10)) {
    return BadInput(db.path(), "is damaged (tables are missing)");
  }
  return static_cast<int>(*version);
}

}  // namespace masseter
