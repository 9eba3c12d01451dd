#include "logbook/new_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>

namespace masseter {
namespace {

std::string Reason(int number) { return strerror(number); }

std::string FolderOf(const std::string& path) {
  const auto slash = path.rfind('/');
  if (slash == std::string::npos) return ".";
  return slash == 0 ? "/" : path.substr(0, slash);
}

Expected<void> Sync(const std::string& path, int flags) {
  const int fd = open(path.c_str(), flags | O_CLOEXEC);
  if (fd < 0) {
    return MachineFailure(path, "cannot be opened: " + Reason(errno));
  }
  const int failed = fsync(fd) == 0 ? 0 : errno;
  close(fd);
  // A file system that cannot write a folder through says EINVAL.
  if (failed != 0 && failed != EINVAL) {
    return MachineFailure(path, "cannot be written: " + Reason(failed));
  }
  return {};
}

tl::unexpected<Error> Exists(const std::string& path) {
  return BadInput(path, "exists already; a logbook is never overwritten");
}

// Renames without overwriting; 0 or the error number.
int RenameNew(const std::string& from, const std::string& to) {
  if (renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(),
                RENAME_NOREPLACE) == 0) {
    return 0;
  }
  if (errno != EINVAL && errno != ENOSYS) return errno;
  // A file system without RENAME_NOREPLACE: a second name, then drop the first.
  if (link(from.c_str(), to.c_str()) != 0) return errno;
  return unlink(from.c_str()) == 0 ? 0 : errno;
}

}  // namespace

std::string TemporaryNameFor(const std::string& path) {
  struct stat found = {};
  for (int i = 0;; ++i) {
    std::string name =
        path + ".new-" + std::to_string(getpid()) + "-" + std::to_string(i);
    if (lstat(name.c_str(), &found) != 0) return name;
  }
}

Expected<void> CheckPlaceIsFree(const std::string& path) {
  struct stat found = {};
  if (lstat(path.c_str(), &found) == 0) return Exists(path);
  if (errno != ENOENT) {
    return BadInput(path, "cannot be created: " + Reason(errno));
  }
  const std::string folder = FolderOf(path);
  if (stat(folder.c_str(), &found) != 0) {
    return BadInput(path, "there is no folder " + folder);
  }
  const std::string wal = path + "-wal";
  // A reader that was the last to close leaves an empty one.
  if (lstat(wal.c_str(), &found) == 0 && found.st_size > 0) {
    return BadInput(wal,
                    "is left over from a logbook of this name and may hold "
                    "its last samples; move it away first");
  }
  return {};
}

Expected<void> PutInPlace(const std::string& temporary,
                          const std::string& path) {
  if (auto synced = Sync(temporary, O_RDONLY); !synced) return synced;
  const int failed = RenameNew(temporary, path);
  if (failed == EEXIST) return Exists(path);
  if (failed != 0) {
    return MachineFailure(path, "cannot be created: " + Reason(failed));
  }
  return Sync(FolderOf(path), O_RDONLY | O_DIRECTORY);
}

Expected<void> PutInPlaceOfOlder(const std::string& temporary,
                                 const std::string& path) {
  if (auto synced = Sync(temporary, O_RDONLY); !synced) return synced;
  // What reading the older file left beside it belongs to that one.
  for (const char* suffix : {"-wal", "-shm"}) unlink((path + suffix).c_str());
  if (rename(temporary.c_str(), path.c_str()) != 0) {
    return MachineFailure(path, "cannot be replaced: " + Reason(errno));
  }
  return Sync(FolderOf(path), O_RDONLY | O_DIRECTORY);
}

void RemoveTemporary(const std::string& temporary) {
  for (const char* suffix : {"", "-wal", "-shm", "-journal"}) {
    unlink((temporary + suffix).c_str());
  }
}

}  // namespace masseter
