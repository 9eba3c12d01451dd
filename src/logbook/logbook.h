// The logbook: one SQLite file that holds a rig, its calibrations, the raw
// samples of many captures, and what was derived from them. Raw chunks are
// only ever added; everything derived can be rebuilt from them. The format is
// docs/formats/logbook.md.
//
// Documents (rig text, calibrations, bites) are opaque UTF-8 text here; their
// meaning belongs to src/app.
//
// Thread rule: one Logbook belongs to one thread at a time. Two processes may
// have the same file open: one recorder and any number of readers.
#ifndef MASSETER_LOGBOOK_LOGBOOK_H_
#define MASSETER_LOGBOOK_LOGBOOK_H_

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/error.h"
#include "core/signal/raw_block.h"

namespace masseter {

enum class Access {
  kRead,    // never writes
  kWrite,   // short changes: calibrations, roster, derived bites
  kRecord,  // holds the recorder's lock for as long as the object lives
};

struct CaptureInfo {
  std::int64_t id = 0;
  std::string source;           // "capture.csv", "serial:/dev/ttyUSB0@921600"
  double created_unix_s = 0.0;  // host clock, 0 when unknown
  std::uint64_t rows = 0;       // raw samples stored
  std::uint64_t broken_lines = 0;  // lines that could not be read
  std::string notes;               // JSON text of src/app: warnings, bad lines
  bool open = false;               // true until FinishCapture: being recorded,
                                   // or its recorder died
  bool measured = false;           // bites below are from all of its samples
  std::string method;              // version of the method behind its bites
  std::int64_t calibration = 0;    // calibration behind its bites, 0 for none
  std::vector<ColumnRole> layout;
};

struct RosterEntry {
  std::string dog;
  std::string breed;  // empty when not told
  std::optional<double> mass_kg;
  bool operator==(const RosterEntry&) const = default;
};

// From `t_s` (capture time) on, `dog` is up; "!out" is the "out" command.
struct Mark {
  double t_s = 0.0;
  std::string dog;
  bool operator==(const Mark&) const = default;
};

struct CalibrationRecord {
  std::int64_t id = 0;
  double created_unix_s = 0.0;
  std::string document;  // JSON text of src/app
  std::string readings;  // the readings file it came from, verbatim
};

// A derived bite: the columns that are searched, and the whole as a document.
struct BiteRecord {
  std::int64_t id = 0;  // unique within the logbook
  std::int64_t capture = 0;
  double start_s = 0.0;
  double end_s = 0.0;
  std::string document;  // JSON text of src/app
};

// Something that happened at the bench: a plan, a reading, a check load, a tap
// test. Kept for good: entries are only ever added.
struct BenchEntry {
  std::int64_t id = 0;
  std::string kind;  // "plan", "reading", "strike", "check", "taps", "limits"
  double created_unix_s = 0.0;
  std::string document;  // JSON text of src/app
};

// What the operator said or did in the field beside the marks. Kept for good:
// an entry is taken back by a later one that says so.
struct DayEntry {
  std::int64_t id = 0;
  std::string kind;  // "note", "void", "restore", "limit", "order", "undo",
                     // "stage"
  double created_unix_s = 0.0;
  std::int64_t capture = 0;   // the recording it was said in, 0 for none
  std::optional<double> t_s;  // capture time of that moment
  std::string document;       // JSON text of src/app
};

// What could not be stored yet (Logbook::BePatient).
struct Waiting {
  std::optional<Error> why;  // nothing: all is stored
  double for_s = 0.0;        // since when
  std::size_t bytes = 0;     // of packed samples
  std::uint64_t samples = 0;
  std::size_t changes = 0;     // bites, marks and the like
  std::uint64_t stored = 0;    // samples, since the logbook was opened
  double stored_unix_s = 0.0;  // host time of the last of them, 0 from a file
};

class Logbook {
 public:
  // A new file with this rig (its TOML text, verbatim). Refuses to overwrite
  // an existing file. Either the whole logbook exists afterwards or nothing.
  static Expected<Logbook> Create(const std::string& path,
                                  const std::string& rig_toml,
                                  double now_unix_s);

  // Opens an existing logbook. One of an older format is read as it is and
  // brought up to date by the first that opens it to write. Refuses: no such
  // file; not a logbook (wrong application_id or no SQLite file); made by a
  // newer version (user_version);
  // with kRecord, one that another recorder has in use (says which process).
  static Expected<Logbook> Open(const std::string& path, Access access);

  Logbook(Logbook&&) noexcept;
  Logbook& operator=(Logbook&&) noexcept;
  ~Logbook();

  const std::string& path() const;

  // --- rig (revision 1 is the one given to Create) ---
  Expected<std::string> RigToml() const;
  Expected<int> RigRevision() const;

  // --- calibrations, oldest first ---
  Expected<std::int64_t> AddCalibration(const CalibrationRecord& record);
  Expected<std::vector<CalibrationRecord>> Calibrations() const;

  // --- the bench (bench_entries.cc) ---
  Expected<std::int64_t> AddBenchEntry(const BenchEntry& entry);
  // Those of a kind, oldest first; all of them for "".
  Expected<std::vector<BenchEntry>> BenchEntries(const std::string& kind) const;

  // --- the field day (day_entries.cc) ---
  Expected<std::int64_t> AddDayEntry(const DayEntry& entry);
  // All of them, oldest first; none in a file of format 1.
  Expected<std::vector<DayEntry>> DayEntries() const;
  // The number of the newest, 0 for none: has somebody else said something?
  Expected<std::int64_t> LastDayEntry() const;

  // --- captures and raw samples ---
  // Starts a capture; needs kWrite or kRecord (an import also takes kRecord, so
  // that it cannot hold up a recording). Its id is usable at once.
  Expected<std::int64_t> BeginCapture(const CaptureInfo& info);
  // Adds raw samples behind those before. They are durable after the next
  // Commit, which happens by itself within 0.25 s of the last (checked here, so
  // a caller whose source falls silent calls Commit) and in FinishCapture.
  // When storing fails (kMachine) they are kept and the next call tries again.
  // Inside Transact they become durable with it, or go with it.
  Expected<void> Append(std::int64_t capture, const RawBlock& block);
  Expected<void> Commit();
  // Closes the capture and stores the counts and notes of `info`.
  Expected<void> FinishCapture(std::int64_t capture, const CaptureInfo& info);
  Expected<std::vector<CaptureInfo>> Captures() const;
  // Reads the raw samples back in order, those not committed yet included,
  // every bit as appended: values, column types and host times. Blocks that
  // came in with the same host time and shape may be joined or cut anew.
  // `visit` returns false to stop early. Checks each chunk's SHA-256 and says
  // which chunk is damaged; the blocks before it have been visited then.
  Expected<void> ReadRaw(
      std::int64_t capture,
      const std::function<bool(const RawBlock&)>& visit) const;
  // The same for rows [first, last] of the capture only, counted from 0.
  Expected<void> ReadRawRange(
      std::int64_t capture, std::uint64_t first, std::uint64_t last,
      const std::function<bool(const RawBlock&)>& visit) const;

  // --- dogs ---
  // Adds dogs, or replaces what is known of a dog with the same name; the
  // others stay. Kept in the order they first came.
  Expected<void> PutRoster(const std::vector<RosterEntry>& entries);
  Expected<std::vector<RosterEntry>> Roster() const;
  Expected<void> AddMark(std::int64_t capture, const Mark& mark);
  Expected<std::vector<Mark>> Marks(std::int64_t capture) const;
  // Takes back the newest mark that equals `mark`; kBadInput when there is
  // none. What is known of a dog likewise.
  Expected<void> RemoveMark(std::int64_t capture, const Mark& mark);
  Expected<void> RemoveDog(const std::string& dog);

  // --- derived ---
  // Replaces the bites of a capture in one transaction and notes what they
  // were derived with. A bite that overlaps one of before in time takes over
  // its id (in order of appearance, each id once), so a bite keeps its number
  // when it is measured anew, even when another is found before it; every
  // other bite gets an id that was never used. Returns the ids, in the order
  // of `bites`; their own `id` and `capture` are ignored.
  Expected<std::vector<std::int64_t>> ReplaceBites(
      std::int64_t capture, const std::vector<BiteRecord>& bites,
      const std::string& method, std::int64_t calibration);
  // Adds one bite while recording; returns its id. Its samples are durable
  // then, the bite is with the next Commit that has samples.
  Expected<std::int64_t> AddBite(const BiteRecord& bite);
  Expected<std::vector<BiteRecord>> Bites() const;
  // Those of a capture that end at `from_s` or later, in order of appearance;
  // `visit` returns false to stop early.
  Expected<void> ReadBites(
      std::int64_t capture, double from_s,
      const std::function<bool(const BiteRecord&)>& visit) const;
  // nullopt where there is none.
  Expected<std::optional<BiteRecord>> FindBite(std::int64_t id) const;
  // Replaces a bite's document: it has another dog now. Its place and its
  // number stay.
  Expected<void> RedescribeBite(std::int64_t id, const std::string& document);

  // The capture's bites, as they stand, are those of all its samples, by this
  // method and calibration (0 for none).
  Expected<void> NoteMeasured(std::int64_t capture, const std::string& method,
                              std::int64_t calibration);

  // What the bites rest on has changed: marks every closed capture as not
  // measured, so that its bites are derived anew when next asked for.
  Expected<void> MeasureAnewLater();

  // A large change comes: keeps up to 64 MB of it in memory before pages go to
  // the disk. Until then none is written twice.
  Expected<void> ExpectMuch();

  // --- a disk that refuses (patience.cc) ---
  // From now on samples, bites, marks, day entries and dogs wait in memory, in
  // order, when the disk refuses them (kMachine), and are tried again once a
  // second (by Append and Commit): the calls succeed. The id of a bite or day
  // entry that waits is the one it will get, since only the recorder adds any.
  // Append and Commit fail once more than `most_bytes` of samples wait.
  void BePatient(std::size_t most_bytes);
  Waiting waiting() const;
  // Runs `change` (a Transact of its own) now or, like the above, later; what
  // it refers to lives until then.
  Expected<void> Patiently(std::function<Expected<void>()> change);
  // Tries at once; the disk's error when something still waits.
  Expected<void> Settle();

  // Runs `body` inside one transaction (nests into an open one): all of it is
  // stored or, when it returns an error, none.
  Expected<void> Transact(const std::function<Expected<void>()>& body);

 private:
  struct Impl;
  explicit Logbook(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_LOGBOOK_H_
