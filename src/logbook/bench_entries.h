// The bench's table of a logbook: docs/formats/logbook.md. Private to
// src/logbook; Logbook::AddBenchEntry and BenchEntries use it.
#ifndef MASSETER_LOGBOOK_BENCH_ENTRIES_H_
#define MASSETER_LOGBOOK_BENCH_ENTRIES_H_

#include <string_view>

namespace masseter {

// What happened at the bench stays: a reading that is struck out is followed
// by the entry that says so and why.
inline constexpr std::string_view kBenchTables = R"sql(
CREATE TABLE IF NOT EXISTS bench_entry(
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  kind TEXT NOT NULL,
  created_unix_s REAL NOT NULL,
  document TEXT NOT NULL) STRICT;
CREATE INDEX IF NOT EXISTS bench_entry_by_kind ON bench_entry(kind, id);
CREATE TRIGGER IF NOT EXISTS bench_entry_stays BEFORE UPDATE ON bench_entry
BEGIN
  SELECT RAISE(ABORT, 'what happened at the bench is never changed');
END;
CREATE TRIGGER IF NOT EXISTS bench_entry_remains BEFORE DELETE ON bench_entry
BEGIN
  SELECT RAISE(ABORT, 'what happened at the bench is never deleted');
END;
)sql";

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_BENCH_ENTRIES_H_
