#include "logbook/sqlite.h"

#include <sqlite3.h>

#include <cstring>
#include <map>
#include <utility>

namespace masseter {
namespace {

constexpr int kBusyTimeoutMs = 5000;
constexpr int kCopyPages = 256;  // of 4096 bytes

std::string SystemReason(sqlite3* db) {
  const int number = sqlite3_system_errno(db);
  return number == 0 ? std::string() : std::string(": ") + strerror(number);
}

// The sentence for a failed call. `code` may be an extended result code.
tl::unexpected<Error> Failure(sqlite3* db, int code, const std::string& path) {
  switch (code & 0xff) {
    case SQLITE_FULL:
      return MachineFailure(path,
                            "the disk is full; what was stored before is kept");
    case SQLITE_IOERR:
      return MachineFailure(path, "the disk refused to read or write" +
                                      SystemReason(db) +
                                      "; what was stored before is kept");
    case SQLITE_READONLY:
      return MachineFailure(path, "the file or its folder is write-protected");
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return MachineFailure(
          path, "another process is writing to it and did not finish in time");
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
      return MachineFailure(path, "cannot be opened" + SystemReason(db));
    case SQLITE_NOMEM:
      return MachineFailure(path, "out of memory");
    case SQLITE_NOTADB:
      return BadInput(path, "is not a database");
    case SQLITE_CORRUPT:
      return BadInput(path,
                      "is damaged (" + std::string(sqlite3_errmsg(db)) + ")");
    case SQLITE_CONSTRAINT:
      return BadInput(path, sqlite3_errmsg(db));
    default:
      return MachineFailure(
          path, std::string("the database failed: ") + sqlite3_errmsg(db));
  }
}

// "file:" address with everything but letters, digits and -._~/ escaped.
std::string ImmutableAddress(const std::string& path) {
  static constexpr char kHex[] = "0123456789ABCDEF";
  static constexpr std::string_view kPlain =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~/";
  std::string out = "file:";
  for (const char c : path) {
    if (kPlain.find(c) != std::string_view::npos) {
      out += c;
      continue;
    }
    const auto byte = static_cast<unsigned char>(c);
    out += '%';
    out += kHex[byte >> 4];
    out += kHex[byte & 15];
  }
  return out + "?immutable=1";
}

int FlagsOf(OpenMode mode) {
  switch (mode) {
    case OpenMode::kReadOnly:
      return SQLITE_OPEN_READONLY;
    case OpenMode::kImmutable:
      return SQLITE_OPEN_READONLY | SQLITE_OPEN_URI;
    case OpenMode::kReadWrite:
      return SQLITE_OPEN_READWRITE;
    case OpenMode::kCreate:
      return SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE;
  }
  return SQLITE_OPEN_READONLY;
}

struct CloseDatabase {
  void operator()(sqlite3* db) const { sqlite3_close_v2(db); }
};
struct FinalizeStatement {
  void operator()(sqlite3_stmt* s) const { sqlite3_finalize(s); }
};

}  // namespace

Statement::Statement(Statement&& other) noexcept
    : handle_(std::exchange(other.handle_, nullptr)),
      path_(other.path_),
      cached_(other.cached_),
      bind_failure_(other.bind_failure_) {}

Statement::~Statement() {
  if (handle_ == nullptr) return;
  if (cached_) {
    sqlite3_reset(handle_);
    sqlite3_clear_bindings(handle_);
  } else {
    sqlite3_finalize(handle_);
  }
}

void Statement::Note(int code) {
  if (code != SQLITE_OK && bind_failure_ == 0) bind_failure_ = code;
}

Statement& Statement::Bind(int index, std::int64_t value) {
  Note(sqlite3_bind_int64(handle_, index, value));
  return *this;
}

Statement& Statement::Bind(int index, double value) {
  Note(sqlite3_bind_double(handle_, index, value));
  return *this;
}

Statement& Statement::Bind(int index, std::string_view text) {
  // A null pointer would bind NULL; an empty text is a text.
  const char* data = text.data() == nullptr ? "" : text.data();
  Note(sqlite3_bind_text64(handle_, index, data, text.size(), SQLITE_TRANSIENT,
                           SQLITE_UTF8));
  return *this;
}

Statement& Statement::Bind(int index, std::span<const std::uint8_t> blob) {
  Note(sqlite3_bind_blob64(handle_, index, blob.data(), blob.size(),
                           SQLITE_TRANSIENT));
  return *this;
}

Statement& Statement::Bind(int index, std::optional<double> value) {
  return value ? Bind(index, *value) : BindNull(index);
}

Statement& Statement::BindNull(int index) {
  Note(sqlite3_bind_null(handle_, index));
  return *this;
}

Expected<bool> Statement::Step() {
  sqlite3* db = sqlite3_db_handle(handle_);
  if (bind_failure_ != 0) return Failure(db, bind_failure_, *path_);
  const int code = sqlite3_step(handle_);
  if (code == SQLITE_ROW) return true;
  if (code == SQLITE_DONE) return false;
  return Failure(db, code, *path_);
}

Expected<void> Statement::Run() {
  while (true) {
    const auto row = Step();
    if (!row) return tl::unexpected(row.error());
    if (!*row) return {};
  }
}

bool Statement::IsNull(int column) const {
  return sqlite3_column_type(handle_, column) == SQLITE_NULL;
}

std::int64_t Statement::Int(int column) const {
  return sqlite3_column_int64(handle_, column);
}

double Statement::Real(int column) const {
  return sqlite3_column_double(handle_, column);
}

std::string Statement::Text(int column) const {
  const auto bytes = Blob(column);
  return {bytes.begin(), bytes.end()};
}

std::span<const std::uint8_t> Statement::Blob(int column) const {
  const void* data = sqlite3_column_blob(handle_, column);
  const int size = sqlite3_column_bytes(handle_, column);
  return {static_cast<const std::uint8_t*>(data),
          static_cast<std::size_t>(size)};
}

struct Database::State {
  std::string path;
  std::unique_ptr<sqlite3, CloseDatabase> db;
  // Declared after `db`, so statements are finalized before it is closed.
  std::map<std::string, std::unique_ptr<sqlite3_stmt, FinalizeStatement>>
      statements;
};

Database::Database(std::unique_ptr<State> state) : state_(std::move(state)) {}
Database::Database(Database&&) noexcept = default;
Database& Database::operator=(Database&&) noexcept = default;
Database::~Database() = default;

Expected<Database> Database::Open(const std::string& path, OpenMode mode) {
  auto state = std::make_unique<State>();
  state->path = path;
  const std::string name =
      mode == OpenMode::kImmutable ? ImmutableAddress(path) : path;
  sqlite3* raw = nullptr;
  const int code = sqlite3_open_v2(name.c_str(), &raw, FlagsOf(mode), nullptr);
  state->db.reset(raw);
  if (code != SQLITE_OK) return Failure(raw, code, path);
  sqlite3_extended_result_codes(raw, 1);
  sqlite3_busy_timeout(raw, kBusyTimeoutMs);
  return Database(std::move(state));
}

Expected<void> Database::Execute(const std::string& sql) {
  sqlite3* db = state_->db.get();
  const int code = sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr);
  if (code != SQLITE_OK) return Failure(db, code, state_->path);
  return {};
}

Expected<Statement> Database::Prepare(const std::string& sql) {
  auto& kept = state_->statements[sql];
  // A statement in use (a visitor that asks the same again) is not shared.
  if (kept && sqlite3_stmt_busy(kept.get()) == 0) {
    return Statement(kept.get(), state_->path, true);
  }
  sqlite3* db = state_->db.get();
  sqlite3_stmt* raw = nullptr;
  const int code =
      sqlite3_prepare_v3(db, sql.data(), static_cast<int>(sql.size()),
                         SQLITE_PREPARE_PERSISTENT, &raw, nullptr);
  if (code != SQLITE_OK) return Failure(db, code, state_->path);
  if (kept) return Statement(raw, state_->path, false);
  kept.reset(raw);
  return Statement(raw, state_->path, true);
}

Expected<std::int64_t> Database::QueryInt(const std::string& sql) {
  auto statement = Prepare(sql);
  if (!statement) return tl::unexpected(statement.error());
  const auto row = statement->Step();
  if (!row) return tl::unexpected(row.error());
  return *row ? statement->Int(0) : 0;
}

Expected<void> Database::CopyTo(const std::string& to,
                                const std::function<bool()>& go_on) {
  auto target = Open(to, OpenMode::kCreate);
  if (!target) return tl::unexpected(target.error());
  sqlite3* db = state_->db.get();
  sqlite3* copy = target->state_->db.get();
  // A snapshot: without it every commit of the recorder would start the copy
  // anew.
  if (auto begun = Execute("BEGIN; SELECT 1 FROM sqlite_schema"); !begun) {
    return begun;
  }
  Expected<void> done;
  sqlite3_backup* backup = sqlite3_backup_init(copy, "main", db, "main");
  if (backup == nullptr) {
    done = Failure(copy, sqlite3_errcode(copy), to);
  } else {
    int code = SQLITE_OK;
    while (code == SQLITE_OK) {
      code = sqlite3_backup_step(backup, kCopyPages);
      if (code == SQLITE_OK && go_on && !go_on()) break;
    }
    const int finished = sqlite3_backup_finish(backup);
    if (code == SQLITE_OK) {
      done = MachineFailure(to, "the copy was given up");
    } else if (code != SQLITE_DONE) {
      done = Failure(copy, code, to);
    } else if (finished != SQLITE_OK) {
      done = Failure(copy, finished, to);
    }
  }
  auto ended = Execute("COMMIT");
  return done ? ended : done;
}

std::int64_t Database::LastInsertId() const {
  return sqlite3_last_insert_rowid(state_->db.get());
}

bool Database::InTransaction() const {
  return sqlite3_get_autocommit(state_->db.get()) == 0;
}

const std::string& Database::path() const { return state_->path; }

}  // namespace masseter
