// A table as CSV with what a program needs to read it: RFC 4180 text in UTF-8
// with LF line ends, comment lines in front, and its columns described as "CSV
// on the Web" metadata (W3C Recommendation "Metadata Vocabulary for Tabular
// Data", 17 December 2015). docs/formats/export.md is the format's page.
//
// One type a column, nothing where there is no value; a double is the shortest
// text that reads back to the same bits.
#ifndef MASSETER_APP_CSV_TABLE_H_
#define MASSETER_APP_CSV_TABLE_H_

#include <cstdint>
#include <cstdio>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/error.h"

namespace masseter {

struct CsvColumn {
  std::string title;     // the header's word; carries the unit where it can
  std::string datatype;  // of CSV on the Web: "integer", "double", "string",
                         // "boolean", "datetime"
  std::string unit;      // "N", "s", ... or empty
  std::string description;
};

// Writes one file. Errors show in Close, which must be called; what was
// written before stays for the caller to remove.
class CsvFile {
 public:
  static Expected<CsvFile> Create(const std::string& path,
                                  const std::vector<std::string>& comments,
                                  const std::vector<CsvColumn>& columns);

  void Put(std::int64_t value);
  void Put(double value);  // nothing when it is not finite
  void Put(std::optional<double> value);
  void Put(bool value);
  void Put(std::string_view text);
  void PutNothing();
  void EndRow();
  // Through to the disk.
  Expected<void> Close();

  std::uint64_t rows() const { return rows_; }
  std::uint64_t bytes() const { return bytes_; }

 private:
  struct CloseFile {
    void operator()(std::FILE* f) const { std::fclose(f); }
  };
  explicit CsvFile(std::string path, std::FILE* file)
      : path_(std::move(path)), file_(file) {}
  void Separate();
  void Flush();

  std::string path_;
  std::unique_ptr<std::FILE, CloseFile> file_;
  std::string line_;
  bool first_ = true;
  int failed_ = 0;  // errno of the first write that failed
  std::uint64_t rows_ = 0;
  std::uint64_t bytes_ = 0;
};

// One table of the metadata.
struct CsvTable {
  std::string file;  // name beside the metadata
  std::string title;
  std::size_t comments = 0;  // lines in front of the header
  std::vector<CsvColumn> columns;
  std::string key;  // title of the column that names a row, or empty
};

// The document for tables that lie beside it.
nlohmann::ordered_json CsvMetadata(const std::vector<CsvTable>& tables);

// "2026-05-16T14:07:31.250Z"; nullopt for 0 or less.
std::optional<std::string> UtcText(double unix_s);

}  // namespace masseter

#endif  // MASSETER_APP_CSV_TABLE_H_
