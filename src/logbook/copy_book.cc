#include "logbook/copy_book.h"

#include <sys/stat.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>

#include "logbook/logbook.h"
#include "logbook/new_file.h"
#include "logbook/sqlite.h"

namespace masseter {
namespace {

// What two copies of one logbook have in common.
struct Contents {
  std::string rig;
  std::vector<CalibrationRecord> calibrations;
  std::vector<CaptureInfo> captures;
};

Expected<Contents> ContentsOf(const std::string& path) {
  const auto book = Logbook::Open(path, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  Contents out;
  auto rig = book->RigToml();
  if (!rig) return tl::unexpected(rig.error());
  out.rig = std::move(*rig);
  auto calibrations = book->Calibrations();
  if (!calibrations) return tl::unexpected(calibrations.error());
  out.calibrations = std::move(*calibrations);
  auto captures = book->Captures();
  if (!captures) return tl::unexpected(captures.error());
  out.captures = std::move(*captures);
  return out;
}

bool IsOlder(const Contents& copy, const Contents& book) {
  if (copy.rig != book.rig ||
      copy.calibrations.size() > book.calibrations.size() ||
      copy.captures.size() > book.captures.size()) {
    return false;
  }
  const bool same_calibrations = std::equal(
      copy.calibrations.begin(), copy.calibrations.end(),
      book.calibrations.begin(), [](const auto& a, const auto& b) {
        return a.id == b.id && a.created_unix_s == b.created_unix_s &&
               a.document == b.document;
      });
  return same_calibrations &&
         std::equal(copy.captures.begin(), copy.captures.end(),
                    book.captures.begin(), [](const auto& a, const auto& b) {
                      return a.id == b.id && a.source == b.source &&
                             a.created_unix_s == b.created_unix_s &&
                             a.rows <= b.rows;
                    });
}

// {} when `to` is free or may be replaced.
Expected<void> CheckMayReplace(const std::string& from, const std::string& to,
                               const struct stat& source) {
  struct stat found = {};
  if (stat(to.c_str(), &found) != 0) {
    if (errno == ENOENT) return CheckPlaceIsFree(to);
    return MachineFailure(to,
                          std::string("cannot be reached: ") + strerror(errno));
  }
  if (found.st_ino == source.st_ino && found.st_dev == source.st_dev) {
    return BadInput(to, "is the logbook itself; name another place");
  }
  const auto copy = ContentsOf(to);
  if (copy) {
    const auto book = ContentsOf(from);
    if (!book) return tl::unexpected(book.error());
    if (IsOlder(*copy, *book)) return {};
  } else if (copy.error().kind == ErrorKind::kMachine) {
    return tl::unexpected(copy.error());
  }
  return BadInput(to,
                  "is not an older copy of this logbook; it stays as it "
                  "is, name another file");
}

Expected<void> CheckCopy(const std::string& path, CopyResult& result) {
  {
    auto db = Database::Open(path, OpenMode::kReadWrite);
    if (!db) return tl::unexpected(db.error());
    auto check = db->Prepare("PRAGMA quick_check(1)");
    if (!check) return tl::unexpected(check.error());
    const auto row = check->Step();
    if (!row) return tl::unexpected(row.error());
    if (!*row || check->Text(0) != "ok") {
      return MachineFailure(
          path, "the copy does not read back: " + (*row ? check->Text(0) : ""));
    }
  }
  const auto contents = ContentsOf(path);
  if (!contents) return tl::unexpected(contents.error());
  for (const CaptureInfo& c : contents->captures) result.samples += c.rows;
  return {};
}

Expected<void> Build(const std::string& from, const std::string& temporary,
                     const std::function<bool()>& go_on, CopyResult& result) {
  {
    auto source = Database::Open(from, OpenMode::kReadOnly);
    if (!source) return tl::unexpected(source.error());
    auto copied = source->CopyTo(temporary, go_on);
    if (!copied) return copied;
  }
  if (auto sound = CheckCopy(temporary, result); !sound) return sound;
  struct stat info = {};
  if (stat(temporary.c_str(), &info) == 0) {
    result.bytes = static_cast<std::uint64_t>(info.st_size);
  }
  return {};
}

}  // namespace

Expected<void> CheckCopyPlace(const std::string& from, const std::string& to) {
  struct stat source = {};
  if (stat(from.c_str(), &source) != 0) {
    return BadInput(from, "there is no such logbook");
  }
  if (auto book = Logbook::Open(from, Access::kRead); !book) {
    return tl::unexpected(book.error());
  }
  return CheckMayReplace(from, to, source);
}

Expected<CopyResult> CopyBook(const std::string& from, const std::string& to,
                              const std::function<bool()>& go_on) {
  if (auto may = CheckCopyPlace(from, to); !may) {
    return tl::unexpected(may.error());
  }
  CopyResult result;
  const std::string temporary = TemporaryNameFor(to);
  auto done = Build(from, temporary, go_on, result);
  if (done) done = PutInPlaceOfOlder(temporary, to);
  RemoveTemporary(temporary);
  if (done) return result;
  Error error = done.error();
  if (error.where == temporary) error.where = to;
  return tl::unexpected(std::move(error));
}

}  // namespace masseter
