#include "app/csv_table.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <charconv>
#include <cmath>
#include <cstring>
#include <ctime>

namespace masseter {
namespace {

using nlohmann::ordered_json;

constexpr std::size_t kBuffer = std::size_t{1} << 18U;

void AppendText(std::string_view text, std::string& out) {
  if (text.find_first_of(",\"\r\n") == std::string_view::npos) {
    out += text;
    return;
  }
  out += '"';
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  out += '"';
}

std::string OneLine(std::string text) {
  for (char& c : text) {
    if (static_cast<unsigned char>(c) < 0x20) c = ' ';
  }
  return text;
}

// A column's name may hold letters, digits, "_" and "."; anything else is
// escaped as in an address, and it does not begin with "_".
std::string NameOf(const std::string& title) {
  std::string out;
  for (const char c : title) {
    const auto byte = static_cast<unsigned char>(c);
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                       (c >= '0' && c <= '9') || c == '.' ||
                       (c == '_' && !out.empty());
    out += plain ? std::string(1, c) : fmt::format("%{:02X}", byte);
  }
  return out;
}

ordered_json ColumnJson(const CsvColumn& c) {
  ordered_json j = {{"name", NameOf(c.title)},
                    {"titles", c.title},
                    {"datatype", c.datatype},
                    {"dc:description", c.description}};
  if (!c.unit.empty()) j["schema:unitText"] = c.unit;
  return j;
}

ordered_json TableJson(const CsvTable& t) {
  ordered_json columns = ordered_json::array();
  for (const CsvColumn& c : t.columns) columns.push_back(ColumnJson(c));
  ordered_json schema = {{"columns", columns}};
  if (!t.key.empty()) schema["primaryKey"] = NameOf(t.key);
  // The comment lines are skipped as rows: of what is left the first is the
  // header.
  return {{"url", t.file},
          {"dc:title", t.title},
          {"dialect",
           {{"encoding", "utf-8"},
            {"delimiter", ","},
            {"quoteChar", "\""},
            {"doubleQuote", true},
            {"lineTerminators", {"\n"}},
            {"commentPrefix", "#"},
            {"skipRows", t.comments},
            {"header", true},
            {"headerRowCount", 1}}},
          {"null", ""},
          {"tableSchema", schema}};
}

}  // namespace

Expected<CsvFile> CsvFile::Create(const std::string& path,
                                  const std::vector<std::string>& comments,
                                  const std::vector<CsvColumn>& columns) {
  std::FILE* raw = std::fopen(path.c_str(), "wbex");
  if (raw == nullptr) {
    return MachineFailure(
        path, std::string("cannot be written: ") + std::strerror(errno));
  }
  CsvFile file(path, raw);
  for (const std::string& comment : comments) {
    file.line_ += "# " + OneLine(comment) + "\n";
  }
  for (const CsvColumn& c : columns) file.Put(std::string_view(c.title));
  file.EndRow();
  file.rows_ = 0;
  return file;
}

void CsvFile::Separate() {
  if (!first_) line_ += ',';
  first_ = false;
}

void CsvFile::Put(std::int64_t value) {
  Separate();
  char text[24];
  const auto end = std::to_chars(text, text + sizeof text, value).ptr;
  line_.append(text, end);
}

void CsvFile::Put(double value) {
  Separate();
  if (!std::isfinite(value)) return;
  char text[40];
  const auto end = std::to_chars(text, text + sizeof text, value).ptr;
  line_.append(text, end);
}

void CsvFile::Put(std::optional<double> value) {
  if (value) {
    Put(*value);
  } else {
    PutNothing();
  }
}

void CsvFile::Put(bool value) {
  Separate();
  line_ += value ? "true" : "false";
}

void CsvFile::Put(std::string_view text) {
  Separate();
  AppendText(text, line_);
}

void CsvFile::PutNothing() { Separate(); }

void CsvFile::EndRow() {
  line_ += '\n';
  first_ = true;
  ++rows_;
  if (line_.size() >= kBuffer) Flush();
}

void CsvFile::Flush() {
  errno = 0;
  const std::size_t n = std::fwrite(line_.data(), 1, line_.size(), file_.get());
  if (n != line_.size() && failed_ == 0) failed_ = errno == 0 ? EIO : errno;
  bytes_ += line_.size();
  line_.clear();
}

Expected<void> CsvFile::Close() {
  Flush();
  if (failed_ == 0 && std::fflush(file_.get()) != 0) failed_ = errno;
  if (failed_ == 0 && ::fsync(::fileno(file_.get())) != 0) failed_ = errno;
  if (std::fclose(file_.release()) != 0 && failed_ == 0) failed_ = errno;
  if (failed_ == 0) return {};
  return MachineFailure(
      path_, std::string("writing failed: ") + std::strerror(failed_));
}

ordered_json CsvMetadata(const std::vector<CsvTable>& tables) {
  ordered_json list = ordered_json::array();
  for (const CsvTable& t : tables) list.push_back(TableJson(t));
  return {{"@context", "http://www.w3.org/ns/csvw"}, {"tables", list}};
}

std::optional<std::string> UtcText(double unix_s) {
  if (!(unix_s > 0.0) || unix_s > 2e11) return std::nullopt;
  const auto ms = static_cast<std::int64_t>(std::floor(unix_s * 1000.0 + 0.5));
  const auto seconds = static_cast<std::time_t>(ms / 1000);
  std::tm utc{};
  if (::gmtime_r(&seconds, &utc) == nullptr) return std::nullopt;
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}Z",
                     utc.tm_year + 1900, utc.tm_mon + 1, utc.tm_mday,
                     utc.tm_hour, utc.tm_min, utc.tm_sec, ms % 1000);
}

}  // namespace masseter
