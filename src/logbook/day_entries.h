// The field day's table of a logbook: docs/formats/logbook.md. Private to
// src/logbook; Logbook::AddDayEntry and DayEntries use it.
#ifndef MASSETER_LOGBOOK_DAY_ENTRIES_H_
#define MASSETER_LOGBOOK_DAY_ENTRIES_H_

#include <string_view>

namespace masseter {

// Migration 2. What was said stays: a bite that is struck out by one entry is
// given back by another.
inline constexpr std::string_view kDayTables = R"sql(
CREATE TABLE day_entry(
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  kind TEXT NOT NULL,
  created_unix_s REAL NOT NULL,
  capture INTEGER REFERENCES capture(id),
  t_s REAL,
  document TEXT NOT NULL) STRICT;
CREATE TRIGGER day_entry_stays BEFORE UPDATE ON day_entry BEGIN
  SELECT RAISE(ABORT, 'what was said in the field is never changed');
END;
CREATE TRIGGER day_entry_remains BEFORE DELETE ON day_entry BEGIN
  SELECT RAISE(ABORT, 'what was said in the field is never deleted');
END;
)sql";

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_DAY_ENTRIES_H_
