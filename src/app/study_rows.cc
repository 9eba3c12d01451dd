#include "app/study_rows.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <string_view>

#include "app/bite_list.h"
#include "app/book.h"
#include "app/file_io.h"
#include "core/base/text_fields.h"

namespace masseter {
namespace {

// A dog's first bites on a sleeve that it does not know.
constexpr int kPracticeBites = 3;

std::string Number(const std::optional<double>& value) {
  return value ? fmt::format("{}", *value) : "";
}

bool Missing(const std::string& text) {
  return text.empty() || text == "null" || text == "NA";
}

bool Yes(const std::string& text) {
  return text == "true" || text == "1" || text == "yes";
}

const std::vector<std::string>& BookNames() {
  static const std::vector<std::string> kNames = {
      "book",      "capture",       "day",     "dog",        "breed",
      "mass_kg",   "bite",          "peak_n",  "peak_u95_n", "strike_n",
      "squeeze_n", "squeeze_u95_n", "held_n",  "x_mm",       "y_mm",
      "order",     "practice",      "verdict", "at_least"};
  return kNames;
}

}  // namespace

std::optional<std::size_t> StudyRows::Find(const std::string& name) const {
  const auto it = std::find(names.begin(), names.end(), name);
  if (it == names.end()) return std::nullopt;
  return static_cast<std::size_t>(it - names.begin());
}

Expected<std::size_t> StudyRows::Need(const std::string& name) const {
  if (const auto found = Find(name)) return *found;
  std::string all;
  for (const std::string& n : names) all += (all.empty() ? "" : ", ") + n;
  return BadInput(file, "has no column \"" + name + "\"; it has " + all);
}

std::string StudyRows::PlaceOf(std::size_t row) const {
  return lines[row] > 0 ? fmt::format("{}:{}", file, lines[row]) : file;
}

Expected<StudyRows> ReadStudyTable(const std::string& path) {
  const auto read = ReadText(path);
  if (!read) return tl::unexpected(read.error());
  StudyRows out;
  out.file = FileName(path);
  char separator = ',';
  TextLines lines(*read);
  while (const auto line = lines.Next()) {
    if (out.names.empty()) {
      separator = SeparatorOf(*line);
      out.names = SplitFields(*line, separator);
      continue;
    }
    std::vector<std::string> fields = SplitFields(*line, separator);
    if (fields.size() != out.names.size()) {
      return BadInput(fmt::format("{}:{}", out.file, lines.number()),
                      fmt::format("{} fields where the header has {}",
                                  fields.size(), out.names.size()));
    }
    out.rows.push_back(std::move(fields));
    out.lines.push_back(lines.number());
  }
  if (out.rows.empty()) return BadInput(out.file, "has no rows");
  return out;
}

Expected<StudyRows> ReadStudyBook(const std::string& path) {
  const auto bites = ListBites(path);
  if (!bites) return tl::unexpected(bites.error());
  const auto book = OpenBook(path, Access::kRead);
  if (!book) return tl::unexpected(book.error());
  const auto roster = book->logbook.Roster();
  if (!roster) return tl::unexpected(roster.error());
  const auto captures = book->logbook.Captures();
  if (!captures) return tl::unexpected(captures.error());
  std::map<std::string, RosterEntry> dogs;
  for (const RosterEntry& e : *roster) dogs[e.dog] = e;
  std::map<std::int64_t, std::string> day;
  for (const CaptureInfo& c : *captures) {
    day[c.id] = LocalTime(c.created_unix_s).substr(0, 10);
  }
  StudyRows out;
  out.file = FileName(path);
  out.names = BookNames();
  std::map<std::string, int> ever;  // bites of each dog, in the book
  std::map<std::pair<std::int64_t, std::string>, int> today;
  for (const StoredBite& s : *bites) {
    const Bite& b = s.bite;
    const int order = ++today[{s.provenance.capture, b.dog}];
    const bool practice = ++ever[b.dog] <= kPracticeBites;
    const RosterEntry dog = dogs.contains(b.dog) ? dogs[b.dog] : RosterEntry{};
    out.rows.push_back(
        {out.file, std::to_string(s.provenance.capture),
         day[s.provenance.capture], b.dog, dog.breed, Number(dog.mass_kg),
         std::to_string(b.id), Number(b.peak_n), Number(b.peak_u95_n),
         Number(b.strike_n), Number(b.squeeze_n), Number(b.squeeze_u95_n),
         Number(b.held_n), Number(b.x_mm), Number(b.y_mm),
         std::to_string(order), practice ? "yes" : "no",
         std::string(VerdictWord(b.verdict)), b.at_least ? "true" : "false"});
    out.lines.push_back(0);
  }
  if (out.rows.empty()) return BadInput(out.file, "holds no bites yet");
  return out;
}

Expected<StudyRows> ReadStudy(const std::vector<std::string>& books,
                              const std::string& table) {
  if (books.empty() == table.empty()) {
    return BadInput("", "give a logbook or --table, one of the two");
  }
  if (!table.empty()) return ReadStudyTable(table);
  auto all = ReadStudyBook(books.front());
  if (!all) return all;
  for (std::size_t i = 1; i < books.size(); ++i) {
    auto more = ReadStudyBook(books[i]);
    if (!more) return more;
    for (std::size_t r = 0; r < more->rows.size(); ++r) {
      all->rows.push_back(more->rows[r]);
      all->lines.push_back(0);
    }
  }
  return all;
}

Expected<StudyFigures> FiguresOf(const StudyRows& rows, const std::string& of,
                                 const std::vector<std::size_t>& needed,
                                 bool positive) {
  StudyFigures out;
  out.of = of;
  for (const char* usual : {"peak_n", "force_n", "squeeze_n", "y"}) {
    if (out.of.empty() && rows.Find(usual)) out.of = usual;
  }
  if (out.of.empty()) {
    return BadInput(rows.file,
                    "has no column peak_n or force_n; name another with --of");
  }
  const auto column = rows.Need(out.of);
  if (!column) return tl::unexpected(column.error());
  const auto verdict = rows.Find("verdict");
  const auto at_least = rows.Find("at_least");
  for (std::size_t r = 0; r < rows.rows.size(); ++r) {
    const std::vector<std::string>& row = rows.rows[r];
    const bool nameless =
        std::any_of(needed.begin(), needed.end(),
                    [&](std::size_t c) { return Missing(row[c]); });
    if (verdict && row[*verdict] == "void") {
      ++out.voids;
      continue;
    }
    const std::string& text = row[*column];
    if (Missing(text)) {
      ++out.missing;
      continue;
    }
    if (nameless) {
      ++out.nameless;
      continue;
    }
    const auto value = ParseNumber(text);
    if (!value) {
      return BadInput(rows.PlaceOf(r),
                      out.of + " is not a number: \"" + text + "\"");
    }
    if (positive && *value <= 0.0) {
      return BadInput(rows.PlaceOf(r),
                      out.of + " must be above zero, not " + text);
    }
    out.figures.push_back({r, *value, at_least && Yes(row[*at_least])});
  }
  return out;
}

nlohmann::ordered_json LeftOutJson(const StudyFigures& f) {
  return {{"void", f.voids}, {"no_value", f.missing}, {"no_name", f.nameless}};
}

std::string LeftOutWords(const StudyFigures& f) {
  std::string out;
  const auto add = [&out](std::size_t count, std::string_view what) {
    if (count == 0) return;
    out += fmt::format("{}{} {}", out.empty() ? "" : ", ", count, what);
  };
  add(f.voids, "void");
  add(f.missing, "without a value");
  add(f.nameless, "without a name");
  return out.empty() ? "" : "Left out: " + out + ".";
}

}  // namespace masseter
