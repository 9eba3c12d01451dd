// What was said of the bites and the day, beside what was measured: the
// logbook's day entries, read in their order. Bites are derived anew from the
// samples at any time; what the operator said of them lies over them.
#ifndef MASSETER_APP_DAY_WORDS_H_
#define MASSETER_APP_DAY_WORDS_H_

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/bite/bite.h"
#include "logbook/logbook.h"

namespace masseter {

struct DayNote {
  std::int64_t id = 0;  // of its day entry
  double at_unix_s = 0.0;
  std::string dog;                   // "" where none was up
  std::optional<std::int64_t> bite;  // nullopt: of the moment
  std::string text;
};

// What the trainer or the veterinarian set for a dog and a day; there is no
// limit without somebody's word.
struct DayLimit {
  std::optional<int> bites;
  std::optional<double> minutes;  // up
};

struct StageItem {
  std::string what;   // "link", "supply", ... (api/README.md, `checks`)
  std::string state;  // "ok", "look", "bad", "unknown", "waiting", "todo"
  std::string text;
  std::optional<int> sleeve;
};

// Checks that the operator closed.
struct StageRecord {
  std::int64_t id = 0;
  double at_unix_s = 0.0;
  std::string stage;  // "before", "after"
  std::vector<StageItem> items;
  std::string anyway;  // why, although an item was bad; "" where none was
};

struct DayWords {
  std::map<std::int64_t, std::string> withdrawn;  // bite: why it is struck out
  std::vector<DayNote> notes;                     // oldest first
  std::vector<std::string> order;                 // the running order, as set
  std::map<std::string, DayLimit> limits;         // a dog
  std::vector<StageRecord> stages;                // oldest first
};

// Entries that a later `undo` names are left out. Limits and order hold for
// the day (local calendar) on which they were set: of `day_unix_s`; the rest
// is of every day. A document that cannot be read says nothing.
DayWords WordsOf(const std::vector<DayEntry>& entries, double day_unix_s);
Expected<DayWords> ReadDayWords(const Logbook& logbook, double day_unix_s);

// "Checks before the first dog, closed 2026-05-16 09:12: supply to look at;
// check load: 20 kg read 195.9 N, ..." without a full stop.
std::string StageSentence(const StageRecord& stage);

// The same day of the local calendar.
bool SameDay(double a_unix_s, double b_unix_s);

// Strikes the bite out where the words say so: verdict `void`, first reason
// `withdrawn` with the operator's words. Its figures stay to be looked at.
// Everything that shows or counts stored bites calls this, and nothing else.
void LayOver(const DayWords& words, Bite& bite);

}  // namespace masseter

#endif  // MASSETER_APP_DAY_WORDS_H_
