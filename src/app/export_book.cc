#include "app/export_book.h"

#include <sys/stat.h>

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <filesystem>
#include <utility>

#include "app/bite_list.h"
#include "app/export_tables.h"
#include "app/file_io.h"

namespace masseter {
namespace {

namespace fs = std::filesystem;

constexpr const char* kMetadata = "csv-metadata.json";

// A folder beside its place, gone unless it was put there.
class Scratch {
 public:
  static Expected<Scratch> Beside(const std::string& path) {
    std::string name = path + ".XXXXXX";
    if (::mkdtemp(name.data()) == nullptr) {
      return tl::unexpected(CannotMake(path));
    }
    return Scratch(std::move(name));
  }
  Scratch(Scratch&& other) noexcept : path_(std::exchange(other.path_, {})) {}
  Scratch& operator=(Scratch&&) = delete;
  ~Scratch() {
    std::error_code ignored;
    if (!path_.empty()) fs::remove_all(path_, ignored);
  }
  const std::string& path() const { return path_; }

 private:
  explicit Scratch(std::string path) : path_(std::move(path)) {}
  std::string path_;
};

Error Moved(const std::string& to, const std::error_code& code) {
  return {ErrorKind::kMachine, to, "cannot be written: " + code.message()};
}

class Exporter {
 public:
  Exporter(const Book& book, const ExportRequest& request)
      : book_(book), request_(request) {}

  Expected<ExportAnswer> Run(const std::vector<StoredBite>& bites) {
    const bool one_file = request_.out_path.ends_with(".csv");
    auto captures = Chosen();
    if (!captures) return tl::unexpected(captures.error());
    auto scratch = Scratch::Beside(request_.out_path);
    if (!scratch) return tl::unexpected(scratch.error());
    folder_ = scratch->path();
    const std::string name =
        one_file ? FileName(request_.out_path) : "bites.csv";
    if (auto ok = Keep(WriteBites(book_, Of(*captures, bites), folder_, name));
        !ok) {
      return tl::unexpected(ok.error());
    }
    if (!one_file) {
      for (const CaptureInfo& c : *captures) {
        if (auto ok = Samples(c); !ok) return tl::unexpected(ok.error());
      }
    }
    const std::string metadata =
        one_file ? name + "-metadata.json" : std::string(kMetadata);
    if (auto ok = Metadata(metadata); !ok) return tl::unexpected(ok.error());
    const auto placed = one_file ? PlaceFiles() : PlaceFolder();
    if (!placed) return tl::unexpected(placed.error());
    return answer_;
  }

 private:
  Expected<std::vector<CaptureInfo>> Chosen() {
    auto all = book_.logbook.Captures();
    if (!all || request_.captures.empty()) return all;
    std::vector<CaptureInfo> out;
    for (const std::int64_t id : request_.captures) {
      const auto found =
          std::find_if(all->begin(), all->end(),
                       [&](const CaptureInfo& c) { return c.id == id; });
      if (found == all->end()) {
        return BadInput("--capture", "there is no recording " +
                                         std::to_string(id) + " in " +
                                         request_.book_path);
      }
      out.push_back(*found);
    }
    return out;
  }

  std::vector<StoredBite> Of(const std::vector<CaptureInfo>& captures,
                             const std::vector<StoredBite>& bites) const {
    std::vector<StoredBite> out;
    for (const StoredBite& b : bites) {
      const bool mine = std::any_of(
          captures.begin(), captures.end(),
          [&](const CaptureInfo& c) { return c.id == b.provenance.capture; });
      if (mine) out.push_back(b);
    }
    return out;
  }

  Expected<void> Samples(const CaptureInfo& capture) {
    const ExportStep step = [&](std::uint64_t rows, std::uint64_t bytes) {
      const std::uint64_t total =
          rows == 0 ? 0 : bytes * std::max(capture.rows, rows) / rows;
      if (request_.progress) request_.progress(bytes, total);
      return request_.stop == nullptr || !request_.stop->load();
    };
    auto kept = Keep(WriteSamples(book_, capture, folder_, step));
    if (kept && request_.raw) {
      kept = Keep(WriteRaw(book_, capture, folder_, step));
    }
    return kept;
  }

  Expected<void> Keep(Expected<WrittenTable> written) {
    if (!written) {
      Error error = written.error();
      // The user knows the place by its own name.
      if (error.where.starts_with(folder_)) error.where = request_.out_path;
      return tl::unexpected(std::move(error));
    }
    if (request_.stop != nullptr && request_.stop->load()) {
      return MachineFailure(request_.out_path, "interrupted; nothing is left");
    }
    answer_.files.push_back(
        {written->table.file, written->rows, written->bytes});
    tables_.push_back(std::move(written->table));
    return {};
  }

  Expected<void> Metadata(const std::string& name) {
    const std::string text =
        CsvMetadata(tables_).dump(
            2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) +
        "\n";
    if (auto ok = WriteText(folder_ + "/" + name, text); !ok) {
      return MachineFailure(request_.out_path, ok.error().what);
    }
    answer_.files.push_back({name, 0, text.size()});
    return {};
  }

  Expected<void> PlaceFolder() {
    fs::permissions(folder_, fs::perms::owner_all | fs::perms::group_read |
                                 fs::perms::group_exec |
                                 fs::perms::others_read |
                                 fs::perms::others_exec);
    std::error_code code;
    fs::rename(folder_, request_.out_path, code);
    if (code) return tl::unexpected(Moved(request_.out_path, code));
    for (ExportedFile& f : answer_.files) {
      f.path = (fs::path(request_.out_path) / f.path).string();
    }
    return {};
  }

  Expected<void> PlaceFiles() {
    const fs::path target = fs::path(request_.out_path).parent_path();
    for (ExportedFile& f : answer_.files) {
      const std::string to = (target / f.path).string();
      std::error_code code;
      fs::rename(folder_ + "/" + f.path, to, code);
      if (code) return tl::unexpected(Moved(to, code));
      f.path = to;
    }
    return {};
  }

  const Book& book_;
  const ExportRequest& request_;
  std::string folder_;
  std::vector<CsvTable> tables_;
  ExportAnswer answer_;
};

}  // namespace

Expected<ExportAnswer> ExportBook(const ExportRequest& request) {
  ExportRequest r = request;
  while (r.out_path.size() > 1 && r.out_path.back() == '/') {
    r.out_path.pop_back();
  }
  if (r.out_path.empty() || r.out_path == "/") {
    return BadInput("-o", "names no folder");
  }
  struct stat found {};
  const bool one_file = r.out_path.ends_with(".csv");
  if (!one_file && ::lstat(r.out_path.c_str(), &found) == 0) {
    return BadInput(r.out_path, "exists already; name a new folder with -o");
  }
  if (one_file && ::stat(r.out_path.c_str(), &found) == 0 &&
      !S_ISREG(found.st_mode)) {
    return BadInput(r.out_path, "is not a file");
  }
  if (one_file && r.raw) {
    return BadInput("--raw", "writes more files; name a folder with -o");
  }
  const auto bites = ListBites(r.book_path);
  if (!bites) return tl::unexpected(bites.error());
  const auto book = OpenBook(r.book_path, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  return Exporter(*book, r).Run(*bites);
}

}  // namespace masseter
