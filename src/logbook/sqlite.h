// A thin wrapper around SQLite: handles that close themselves and errors as
// values. Knows nothing of logbooks.
//
// Errors: kMachine for the disk, permissions, a lock that is held too long;
// kBadInput for a file that is damaged or no database and for a change that a
// rule of the schema refuses. Each is one sentence; its place is the file.
//
// Thread rule: one Database and its Statements belong to one thread at a time.
#ifndef MASSETER_LOGBOOK_SQLITE_H_
#define MASSETER_LOGBOOK_SQLITE_H_

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "core/base/error.h"

struct sqlite3;
struct sqlite3_stmt;

namespace masseter {

enum class OpenMode {
  kReadOnly,
  kImmutable,  // a file that nobody can change: read-only media
  kReadWrite,
  kCreate,  // makes the file when there is none
};

// A prepared statement, ready to bind and step. Columns count from 0,
// parameters from 1. Returned to its Database's cache when it goes.
class Statement {
 public:
  Statement(Statement&& other) noexcept;
  Statement& operator=(Statement&&) = delete;
  ~Statement();

  Statement& Bind(int index, std::int64_t value);
  Statement& Bind(int index, double value);
  Statement& Bind(int index, std::string_view text);
  Statement& Bind(int index, std::span<const std::uint8_t> blob);
  Statement& Bind(int index, std::optional<double> value);
  Statement& BindNull(int index);

  // True when there is a row, false at the end. A failed Bind shows here.
  Expected<bool> Step();
  // Steps to the end.
  Expected<void> Run();

  bool IsNull(int column) const;
  std::int64_t Int(int column) const;
  double Real(int column) const;
  std::string Text(int column) const;
  // Valid until the next Step.
  std::span<const std::uint8_t> Blob(int column) const;

 private:
  friend class Database;
  Statement(sqlite3_stmt* handle, const std::string& path, bool cached)
      : handle_(handle), path_(&path), cached_(cached) {}
  void Note(int code);

  sqlite3_stmt* handle_;
  const std::string* path_;  // owned by the Database
  bool cached_;
  int bind_failure_ = 0;
};

class Database {
 public:
  static Expected<Database> Open(const std::string& path, OpenMode mode);

  Database(Database&&) noexcept;
  Database& operator=(Database&&) noexcept;
  ~Database();

  // Runs one or more statements that give no rows.
  Expected<void> Execute(const std::string& sql);
  // Prepares `sql`, or takes it from the cache of this Database.
  Expected<Statement> Prepare(const std::string& sql);
  // The integer in the first column of the first row.
  Expected<std::int64_t> QueryInt(const std::string& sql);

  // Copies all of it, as it stands at one moment, into the new file `to`, in
  // pieces of 1 MB; `go_on` (may be empty) is asked between them. Writers are
  // not held up. What is left of `to` on error is the caller's to remove.
  Expected<void> CopyTo(const std::string& to,
                        const std::function<bool()>& go_on);

  std::int64_t LastInsertId() const;
  // True while a transaction is open.
  bool InTransaction() const;
  const std::string& path() const;

 private:
  struct State;
  explicit Database(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_SQLITE_H_
