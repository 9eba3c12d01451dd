#include "logbook/faulty_disk.h"

#include <sqlite3.h>

#include <algorithm>
#include <cstring>
#include <fstream>
#include <iterator>
#include <map>
#include <new>
#include <vector>

namespace masseter {
namespace {

constexpr std::size_t kSector = 512;

using Bytes = std::vector<std::uint8_t>;

struct Operation {
  enum class Kind { kWrite, kTruncate, kSync, kMake, kDelete, kSyncFolder };
  Kind kind = Kind::kWrite;
  std::size_t file = 0;    // which file; a name made anew is another file
  std::size_t offset = 0;  // kWrite: where; kTruncate: the length
  Bytes bytes;             // kWrite
};

std::string NameOf(const std::string& path) {
  return path.substr(path.rfind('/') + 1);
}

void Put(Bytes& into, std::size_t offset, const std::uint8_t* bytes,
         std::size_t size) {
  if (into.size() < offset + size) into.resize(offset + size, 0);
  std::copy(bytes, bytes + size,
            into.begin() + static_cast<std::ptrdiff_t>(offset));
}

void Apply(const Operation& op, Bytes& file) {
  if (op.kind == Operation::Kind::kWrite) {
    Put(file, op.offset, op.bytes.data(), op.bytes.size());
  } else if (op.kind == Operation::Kind::kTruncate) {
    file.resize(op.offset, 0);
  }
}

// How much of what was not synced is there; drawn once a cut.
struct Luck {
  double kept = 0.5;     // of the sectors written whole
  double torn = 0.1;     // of the others: up to some byte
  double rubbish = 0.1;  // of the others
};

Luck DrawLuck(std::mt19937_64& random) {
  switch (random() % 4) {
    case 0:
      return {0.0, 0.0, 0.0};  // nothing of it
    case 1:
      return {1.0, 0.0, 0.0};  // all of it
    case 2:
      return {0.9, 0.5, 0.0};
    default:
      return {0.5, 0.3, 0.3};
  }
}

// A write that was not synced, sector by sector.
void ApplyByLuck(const Operation& op, const Luck& luck, std::mt19937_64& random,
                 Bytes& file) {
  std::uniform_real_distribution<double> share(0.0, 1.0);
  if (op.kind != Operation::Kind::kWrite) {
    if (share(random) < luck.kept) Apply(op, file);
    return;
  }
  for (std::size_t from = 0; from < op.bytes.size();) {
    const std::size_t at = op.offset + from;
    const std::size_t size =
        std::min(kSector - at % kSector, op.bytes.size() - from);
    const std::uint8_t* bytes = op.bytes.data() + from;
    from += size;
    if (share(random) < luck.kept) {
      Put(file, at, bytes, size);
    } else if (share(random) < luck.torn) {
      Put(file, at, bytes, random() % size);
    } else if (share(random) < luck.rubbish) {
      Bytes rubbish(size);
      for (auto& b : rubbish) b = static_cast<std::uint8_t>(random());
      Put(file, at, rubbish.data(), size);
    }
  }
}

}  // namespace

struct FaultyDisk::State {
  sqlite3_vfs vfs = {};
  sqlite3_vfs* real = nullptr;
  Fault fault = Fault::kNone;
  bool forgets_syncs = false;
  std::vector<std::string> names;  // of each file
  std::vector<Bytes> before;       // its bytes before the first operation
  std::map<std::string, std::size_t> at;  // the file a path names now
  std::vector<std::size_t> there;         // files there before the first one
  std::vector<Operation> operations;

  bool Full() const { return fault == Fault::kFull; }
  void Note(Operation::Kind kind, std::size_t file, std::size_t offset = 0,
            Bytes bytes = {}) {
    operations.push_back({kind, file, offset, std::move(bytes)});
  }
  std::size_t FileAt(const std::string& path, bool fresh);
};

// The file that `path` names; a new one when it is `fresh`.
std::size_t FaultyDisk::State::FileAt(const std::string& path, bool fresh) {
  const auto known = at.find(path);
  if (known != at.end() && !fresh) return known->second;
  const std::size_t file = names.size();
  names.push_back(NameOf(path));
  before.emplace_back();
  at[path] = file;
  if (fresh) {
    Note(Operation::Kind::kMake, file);
    return file;
  }
  std::ifstream in(path, std::ios::binary);
  before[file].assign(std::istreambuf_iterator<char>(in), {});
  there.push_back(file);
  return file;
}

namespace {

using State = FaultyDisk::State;
using Fault = FaultyDisk::Fault;

// SQLite's handle of an open file, with the real one behind it.
struct OpenFile {
  sqlite3_file base;
  State* state;
  std::size_t file;
  sqlite3_file* real() { return reinterpret_cast<sqlite3_file*>(this + 1); }
};

OpenFile& Self(sqlite3_file* f) { return *reinterpret_cast<OpenFile*>(f); }
sqlite3_file* Real(sqlite3_file* f) { return Self(f).real(); }
State& StateOf(sqlite3_vfs* vfs) { return *static_cast<State*>(vfs->pAppData); }

int Close(sqlite3_file* f) { return Real(f)->pMethods->xClose(Real(f)); }

int Read(sqlite3_file* f, void* to, int size, sqlite3_int64 at) {
  return Real(f)->pMethods->xRead(Real(f), to, size, at);
}

int Write(sqlite3_file* f, const void* from, int size, sqlite3_int64 at) {
  State& state = *Self(f).state;
  if (state.Full()) return SQLITE_FULL;
  if (state.fault == Fault::kIoError) return SQLITE_IOERR_WRITE;
  const int code = Real(f)->pMethods->xWrite(Real(f), from, size, at);
  if (code == SQLITE_OK) {
    const auto* bytes = static_cast<const std::uint8_t*>(from);
    state.Note(Operation::Kind::kWrite, Self(f).file,
               static_cast<std::size_t>(at), Bytes(bytes, bytes + size));
  }
  return code;
}

int Truncate(sqlite3_file* f, sqlite3_int64 size) {
  const int code = Real(f)->pMethods->xTruncate(Real(f), size);
  if (code == SQLITE_OK) {
    Self(f).state->Note(Operation::Kind::kTruncate, Self(f).file,
                        static_cast<std::size_t>(size));
  }
  return code;
}

int Sync(sqlite3_file* f, int) {
  State& state = *Self(f).state;
  if (state.fault == Fault::kIoError || state.fault == Fault::kSyncFails) {
    return SQLITE_IOERR_FSYNC;
  }
  // The real disk is not asked: the test's folder need not outlive it.
  if (!state.forgets_syncs) state.Note(Operation::Kind::kSync, Self(f).file);
  return SQLITE_OK;
}

int FileSize(sqlite3_file* f, sqlite3_int64* size) {
  return Real(f)->pMethods->xFileSize(Real(f), size);
}
int Lock(sqlite3_file* f, int how) {
  return Real(f)->pMethods->xLock(Real(f), how);
}
int Unlock(sqlite3_file* f, int how) {
  return Real(f)->pMethods->xUnlock(Real(f), how);
}
int CheckReserved(sqlite3_file* f, int* out) {
  return Real(f)->pMethods->xCheckReservedLock(Real(f), out);
}
int FileControl(sqlite3_file* f, int what, void* with) {
  return Real(f)->pMethods->xFileControl(Real(f), what, with);
}
int SectorSize(sqlite3_file* f) {
  return Real(f)->pMethods->xSectorSize(Real(f));
}
int Characteristics(sqlite3_file* f) {
  return Real(f)->pMethods->xDeviceCharacteristics(Real(f));
}
int ShmMap(sqlite3_file* f, int region, int size, int extend,
           void volatile** out) {
  return Real(f)->pMethods->xShmMap(Real(f), region, size, extend, out);
}
int ShmLock(sqlite3_file* f, int at, int count, int flags) {
  return Real(f)->pMethods->xShmLock(Real(f), at, count, flags);
}
void ShmBarrier(sqlite3_file* f) { Real(f)->pMethods->xShmBarrier(Real(f)); }
int ShmUnmap(sqlite3_file* f, int remove) {
  return Real(f)->pMethods->xShmUnmap(Real(f), remove);
}

// Version 2: shared memory yes, memory-mapped files no.
constexpr sqlite3_io_methods kMethods = {2,
                                         Close,
                                         Read,
                                         Write,
                                         Truncate,
                                         Sync,
                                         FileSize,
                                         Lock,
                                         Unlock,
                                         CheckReserved,
                                         FileControl,
                                         SectorSize,
                                         Characteristics,
                                         ShmMap,
                                         ShmLock,
                                         ShmBarrier,
                                         ShmUnmap,
                                         nullptr,
                                         nullptr};

int Open(sqlite3_vfs* vfs, const char* path, sqlite3_file* f, int flags,
         int* out_flags) {
  State& state = StateOf(vfs);
  OpenFile* self = new (f) OpenFile{};
  int exists = 0;
  if (path != nullptr) {
    state.real->xAccess(state.real, path, SQLITE_ACCESS_EXISTS, &exists);
  }
  if (exists == 0 && state.Full()) return SQLITE_CANTOPEN;
  const int code =
      state.real->xOpen(state.real, path, self->real(), flags, out_flags);
  if (code != SQLITE_OK) return code;
  self->state = &state;
  self->file = state.FileAt(path == nullptr ? "" : path, exists == 0);
  self->base.pMethods = &kMethods;
  return SQLITE_OK;
}

int Delete(sqlite3_vfs* vfs, const char* path, int sync_folder) {
  State& state = StateOf(vfs);
  const int code = state.real->xDelete(state.real, path, 0);
  if (code != SQLITE_OK) return code;
  const auto known = state.at.find(path);
  if (known == state.at.end()) return code;
  state.Note(Operation::Kind::kDelete, known->second);
  if (sync_folder != 0 && !state.forgets_syncs) {
    state.Note(Operation::Kind::kSyncFolder, known->second);
  }
  state.at.erase(known);
  return code;
}

}  // namespace

FaultyDisk::FaultyDisk() : state_(std::make_unique<State>()) {
  State& s = *state_;
  s.real = sqlite3_vfs_find(nullptr);
  s.vfs = *s.real;
  s.vfs.pNext = nullptr;
  s.vfs.zName = "faulty disk";
  s.vfs.pAppData = &s;
  s.vfs.szOsFile = static_cast<int>(sizeof(OpenFile)) + s.real->szOsFile;
  s.vfs.xOpen = Open;
  s.vfs.xDelete = Delete;
  // The others do not look at their first argument's data (SQLite's own Unix
  // file system uses pAppData in xOpen alone).
  sqlite3_vfs_register(&s.vfs, 1);
}

FaultyDisk::~FaultyDisk() { Unplug(); }

void FaultyDisk::Unplug() {
  sqlite3_vfs_unregister(&state_->vfs);
  sqlite3_vfs_register(state_->real, 1);
}

void FaultyDisk::SetFault(Fault fault) { state_->fault = fault; }
void FaultyDisk::ForgetSyncs() { state_->forgets_syncs = true; }

std::size_t FaultyDisk::operations() const { return state_->operations.size(); }

std::size_t FaultyDisk::syncs(const std::string& name) const {
  return static_cast<std::size_t>(
      std::count_if(state_->operations.begin(), state_->operations.end(),
                    [&](const Operation& op) {
                      return op.kind == Operation::Kind::kSync &&
                             state_->names[op.file] == name;
                    }));
}

namespace {

// Which files the folder lists after the cut: its changes happen in order, up
// to a random one behind the last that is certain.
std::vector<std::size_t> Listed(const State& state, std::size_t at,
                                std::mt19937_64& random) {
  std::vector<const Operation*> changes;
  std::vector<bool> synced(state.names.size(), false);
  std::size_t certain = 0;
  for (std::size_t i = 0; i < at; ++i) {
    const Operation& op = state.operations[i];
    const bool first_sync =
        op.kind == Operation::Kind::kSync && !synced[op.file];
    if (op.kind == Operation::Kind::kMake ||
        op.kind == Operation::Kind::kDelete) {
      changes.push_back(&op);
    } else if (first_sync || op.kind == Operation::Kind::kSyncFolder) {
      certain = changes.size();
    }
    if (first_sync) synced[op.file] = true;
  }
  const std::size_t happened =
      certain + random() % (changes.size() - certain + 1);
  std::vector<std::size_t> files = state.there;
  for (std::size_t i = 0; i < happened; ++i) {
    const std::size_t file = changes[i]->file;
    std::erase(files, file);
    if (changes[i]->kind == Operation::Kind::kMake) files.push_back(file);
  }
  return files;
}

}  // namespace

void FaultyDisk::WriteImage(std::size_t at, std::mt19937_64& random,
                            const std::string& folder) const {
  const State& state = *state_;
  std::vector<Bytes> files = state.before;
  std::vector<std::vector<const Operation*>> waiting(files.size());
  for (std::size_t i = 0; i < at; ++i) {
    const Operation& op = state.operations[i];
    if (op.kind == Operation::Kind::kSync) {
      for (const Operation* w : waiting[op.file]) Apply(*w, files[op.file]);
      waiting[op.file].clear();
    } else {
      waiting[op.file].push_back(&op);
    }
  }
  const Luck luck = DrawLuck(random);
  for (const std::size_t file : Listed(state, at, random)) {
    for (const Operation* op : waiting[file]) {
      if (op->kind != Operation::Kind::kWrite &&
          op->kind != Operation::Kind::kTruncate) {
        continue;
      }
      ApplyByLuck(*op, luck, random, files[file]);
    }
    std::ofstream out(folder + "/" + state.names[file], std::ios::binary);
    out.write(reinterpret_cast<const char*>(files[file].data()),
              static_cast<std::streamsize>(files[file].size()));
  }
}

}  // namespace masseter
