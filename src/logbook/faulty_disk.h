// A disk for tests that can fail: it fills up, it refuses, its power goes.
// Until it is unplugged it is SQLite's default file system (a VFS around the
// real one), so the code under test is the code that ships.
//
// The model of a power cut, from SQLite's own pages ("Atomic Commit In
// SQLite", section 2, hardware assumptions; "Powersafe Overwrite";
// "Write-Ahead Logging"):
//
//  - What was written to a file before a sync of that file that returned is
//    there.
//  - What was written after it may be there or not, sector by sector and in
//    any order: old bytes, new bytes, the one up to some byte and the other
//    from there on, or rubbish. Bytes outside the written range stay as they
//    were (powersafe overwrite, what SQLite assumes on Unix by default).
//  - A change of a file's length that was not synced happened or did not.
//  - Making and deleting files happens in order, up to some point behind the
//    last sync of their folder, which the first sync of a new file implies
//    (SQLite syncs the folder then).
//  - The shared-memory file is not on the disk: SQLite makes it anew.
//
// Thread rule: one thread at a time, and one object at a time.
#ifndef MASSETER_LOGBOOK_FAULTY_DISK_H_
#define MASSETER_LOGBOOK_FAULTY_DISK_H_

#include <cstddef>
#include <cstdint>
#include <memory>
#include <random>
#include <string>

namespace masseter {

class FaultyDisk {
 public:
  enum class Fault {
    kNone,
    kFull,      // nothing can be written any more: SQLITE_FULL
    kIoError,   // writing and syncing fail: SQLITE_IOERR
    kSyncFails  // writing works, syncing fails
  };

  FaultyDisk();
  FaultyDisk(const FaultyDisk&) = delete;
  FaultyDisk& operator=(const FaultyDisk&) = delete;
  ~FaultyDisk();
  // SQLite goes back to the real file system; every logbook on this disk is
  // closed. What the disk recorded stays.
  void Unplug();

  void SetFault(Fault fault);
  // From now on syncs do nothing, which is PRAGMA synchronous = OFF.
  void ForgetSyncs();

  // Operations so far. A cut `at` lets the first `at` of them happen.
  std::size_t operations() const;
  // Of these the syncs of the file of this name.
  std::size_t syncs(const std::string& name) const;

  // What a power cut after `at` operations leaves, into the empty `folder`,
  // under the files' own names.
  void WriteImage(std::size_t at, std::mt19937_64& random,
                  const std::string& folder) const;

  struct State;

 private:
  std::unique_ptr<State> state_;
};

}  // namespace masseter

#endif  // MASSETER_LOGBOOK_FAULTY_DISK_H_
